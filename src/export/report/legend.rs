//! What the marks on a sheet's picture mean: those that occur.

use super::given::Report;
use super::marks::{CLEARED, FeatureLook, SPARE, TAPE, TAPED, WASTE, clamp_look, feature_look};
use super::tone::tone;
use crate::export::words;
use crate::layout::{FeatureKind, Sheet};
use crate::units::Units;

/// The legend below the picture of sheet `i`.
pub fn legend(report: &Report, i: usize) -> String {
    let (sheet, cut) = (&report.layout.sheets[i], report.cut(i));
    let mut cells = vec!["<span><i class=\"key num\">1 2 3</i>order of cut</span>".to_string()];
    let mut mark = |shape: &str, name: &str| {
        cells.push(format!(
            "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\">{shape}</svg>{name}</span>"
        ));
    };
    tab_marks(sheet).into_iter().for_each(|(shape, name)| mark(shape, name));
    for (kind, name) in features(sheet, report.units) {
        mark(&feature_key(&feature_look(kind)), &name);
    }
    if !cut.soft.is_empty() {
        let shape = format!(
            "<rect x=\"1\" y=\"2\" width=\"16\" height=\"6\" fill=\"{TAPE}\" stroke=\"#2b2622\"/>"
        );
        mark(&shape, "strip that gives way: tape under it");
        mark(&spot(TAPED, "t1"), "number of such a strip: see below");
    }
    if sheet.parts.iter().any(|p| p.spare) {
        let (part, veil) = (tone(sheet).part, SPARE);
        let shape = format!(
            "<rect width=\"18\" height=\"10\" fill=\"{part}\"/>\
             <rect width=\"18\" height=\"10\" {veil} stroke=\"#fdfbf6\" stroke-dasharray=\"3 2\"/>"
        );
        mark(&shape, "spare");
    }
    if report.faults(i).next().is_some() {
        mark(&spot("#c0392b", "1"), "fault: see below");
    }
    waste_marks(report, i).iter().for_each(|(shape, name)| mark(shape, name));
    for (any, named, name) in [
        (!cut.rooms.is_empty(), false, "room for a clamp or a screw"),
        (!sheet.clamps.is_empty(), true, "clamp or screw from the job"),
    ] {
        if any {
            let look = clamp_look(named);
            mark(&format!("<circle cx=\"9\" cy=\"5\" r=\"4.4\" {look}/>"), name);
        }
    }
    for (any, pattern, name) in [
        (!sheet.remnants.is_empty(), "keep", "remnant worth keeping"),
        (!sheet.keep_clear.is_empty(), "clear", "keep clear"),
    ] {
        if any {
            let fill = format!("fill=\"url(#{pattern})\" stroke=\"#55493c\"");
            mark(&format!("<rect width=\"18\" height=\"10\" {fill}/>"), name);
        }
    }
    format!("<figcaption>{}</figcaption>\n", cells.concat())
}

/// The marks of tabs, and their names.
fn tab_marks(sheet: &Sheet) -> Vec<(&'static str, &'static str)> {
    if sheet.parts.iter().all(|p| p.hold.tabs.is_empty()) {
        return vec![];
    }
    let mut marks =
        vec![("<rect x=\"3\" y=\"2\" width=\"12\" height=\"6\" fill=\"#c0392b\"/>", "tab")];
    if words::bridged(sheet).next().is_some() {
        let shape = "<rect x=\"2\" y=\"1\" width=\"14\" height=\"8\" fill=\"#c0392b\"/>\
                     <path d=\"M2 1L16 9M2 9L16 1\" stroke=\"#fff\"/>";
        marks.push((shape, "holding bridge: full thickness, to be sawn off"));
    }
    if words::in_order(sheet) {
        let shape =
            "<rect x=\"5\" y=\"2\" width=\"8\" height=\"6\" fill=\"#fff\" stroke=\"#c0392b\"/>";
        marks.push((
            shape,
            "waste tab: holds the waste beyond it, and whatever hangs on that waste",
        ));
    }
    let shape = "<rect x=\"6\" y=\"3\" width=\"6\" height=\"4\" fill=\"#c0392b\"/>\
                 <circle cx=\"9\" cy=\"5\" r=\"4.4\" fill=\"none\" stroke=\"#c0392b\"/>";
    marks.push((shape, "the last pass starts just beyond this tab and ends at it"));
    marks
}

/// The marks of waste, and their names.
fn waste_marks(report: &Report, i: usize) -> Vec<(String, &'static str)> {
    let area = |look: &str| {
        format!("<rect x=\"1\" y=\"1\" width=\"16\" height=\"8\" {look} stroke-dasharray=\"2 2\"/>")
    };
    let mut marks = vec![];
    if !report.layout.sheets[i].cleared.is_empty() {
        let shape = area(&format!("{CLEARED} stroke=\"#2f6f8f\""));
        marks.push((shape, "waste to clear first, as a pocket through the sheet"));
    }
    if report.cut(i).loose.iter().any(|p| p.comes_loose) {
        let shape = area("fill=\"#c0392b\" fill-opacity=\"0.2\" stroke=\"#c0392b\"");
        marks.push((shape, "waste that comes loose"));
    }
    if report.drop_outs(i).next().is_some() {
        let shape = spot(WASTE, "w1");
        marks.push((shape, "its number, if it is as wide as the bit: see below"));
    }
    marks
}

/// The kinds of what is drawn in parts, pockets and holes with each of their depths.
fn features(sheet: &Sheet, units: Units) -> Vec<(FeatureKind, String)> {
    let mut found = vec![];
    for kind in FeatureKind::ALL {
        let of_kind = sheet.parts.iter().flat_map(|p| &p.features).filter(|f| f.kind == kind);
        let depth = |depth: Option<f64>| match (kind, depth) {
            (FeatureKind::Pocket, Some(mm)) => format!("pocket, {} deep", words::fine(units, mm)),
            (FeatureKind::Pocket, None) => {
                "pocket: no depth in the job; taken as half the sheet".into()
            }
            (FeatureKind::Drill, Some(mm)) => {
                format!("drilled hole, {} deep", words::fine(units, mm))
            }
            (FeatureKind::Drill, None) => "drilled hole, right through".into(),
            (FeatureKind::Engraving, _) => "engraving".into(),
            (FeatureKind::Mark, _) => "mark: not cut".into(),
            (FeatureKind::TabFree, _) => "edge without tabs".into(),
        };
        for name in of_kind.map(|f| depth(f.depth)) {
            if !found.contains(&(kind, name.clone())) {
                found.push((kind, name));
            }
        }
    }
    found
}

fn feature_key(look: &FeatureLook) -> String {
    let dash: Vec<String> = look.dash.iter().map(|d| d.to_string()).collect();
    let lines = format!("stroke=\"{}\" stroke-dasharray=\"{}\"", look.line, dash.join(" "));
    match look.fill {
        "none" => format!("<path d=\"M1 5h16\" fill=\"none\" stroke-width=\"1.4\" {lines}/>"),
        fill => format!(
            "<rect x=\"1\" y=\"1\" width=\"16\" height=\"8\" fill=\"{fill}\" fill-opacity=\"{}\" {lines}/>",
            look.opacity
        ),
    }
}

fn spot(colour: &str, text: &str) -> String {
    format!(
        "<circle cx=\"9\" cy=\"5\" r=\"4.8\" fill=\"{colour}\"/>\
         <text x=\"9\" y=\"7.6\" font-size=\"7\" fill=\"#fff\" text-anchor=\"middle\">{text}</text>"
    )
}
