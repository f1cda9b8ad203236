//! The job of the unit tests: two plates on a walnut panel of 200 x 120 mm.

use super::{Effort, Made, Watch, make};
use crate::job::{Drawings, Job, JobFile, build, read_options};
use std::sync::atomic::AtomicBool;

const JOB: &str = r#"
    units = "mm"
    [[bit]]
    name = "1/8"
    diameter = "1/8in"
    [[stock]]
    material = "walnut"
    thickness = 6
    size = "200x120"
    [[drawing]]
    file = "two.svg"
    material = "walnut"
    thickness = 6
"#;
const TWO: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
    <rect id="long" x="5" y="5" width="60" height="20" fill="none" stroke="#000"/>
    <rect id="short" x="5" y="35" width="30" height="20" fill="none" stroke="#000"/></svg>"##;

/// The job.
pub(super) fn job() -> Job {
    job_with("")
}

/// The job with lines at its end, which belong to the drawing or begin tables of their own.
pub(super) fn job_with(end: &str) -> Job {
    job_of(TWO, end)
}

/// The same of another drawing.
pub(super) fn job_of(svg: &str, end: &str) -> Job {
    let file = JobFile::parse(&format!("{JOB}{end}")).expect("a job");
    let options = read_options(&file, None).expect("options");
    let drawing = crate::drawing::read(svg, "two.svg", &options).expect("a drawing");
    let drawings = Drawings::from([("two.svg".to_string(), drawing)]);
    build(&file, &drawings).expect("a sound job").0
}

/// The job made with few moves.
pub(super) fn made() -> Made {
    made_of(&job())
}

/// Any job made with few moves.
pub(super) fn made_of(job: &Job) -> Made {
    let (stop, effort) =
        (AtomicBool::new(false), Effort { moves: Some(50), time: None, threads: 1 });
    make(job, &effort, &Watch { stop: &stop, progress: None }).expect("a layout")
}
