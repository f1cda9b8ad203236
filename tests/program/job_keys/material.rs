//! `[[material]]`: figures by hand from the Wood Handbook's rows as the table has them (white oak: bending 105 MPa, E 13,530 MPa,
//! 762 kg/m³, K_c 31 N/mm²) and 1 psi = 0.006894757 MPa, 1 lb/ft³ = 16.018463 kg/m³ (NIST SP 811, from memory).

use super::Row;
use super::case::{Case, Run, near};

const OF_OWN: &str = "[[material]]\nname = 'Purpleheart'\nlike = 'white oak'\n";

/// The plate in a material of the job's own.
fn of(tables: &str) -> Case {
    let own = |text: String| text.replace("hard maple", "purpleheart");
    let usual = Case::default();
    let (stock, drawing) = (own(usual.stock.clone()), own(usual.drawing.clone()));
    Case { stock, drawing, ..usual }.more(tables)
}

/// The summary without its line breaks.
fn in_one_line(run: &Run) -> String {
    run.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn constants(run: &Run) -> serde_json::Value {
    run.sheet()["material_constants"].clone()
}

pub const MATERIAL: &[Row] = &[
    ("[[material]] name", || {
        of("").nest().refused(&["unknown material 'purpleheart'"]);
        let run = of(OF_OWN).nest().good();
        assert_eq!(run.sheet()["called"], "purpleheart");
        assert!(run.page.contains("purpleheart") && run.out.contains("purpleheart"));
        // The nearest spelling is the job's own, and a bit may be kept for it.
        let slip = of(OF_OWN).bit("materials = ['purplehart']\n").nest();
        slip.refused(&["bit 'eighth'", "did you mean 'Purpleheart'?"]);
        of(OF_OWN).bit("materials = ['PurpleHeart']\n").nest().good();
        of(&format!("{OF_OWN}{OF_OWN}")).nest().refused(&["two [[material]]"]);
        of("[[material]]\nname = ' '\nlike = 'oak'\n").nest().refused(&["give it a name"]);
        // A name that the table has may be given figures of one's own.
        let ash = "[[material]]\nname = 'hard maple'\nlike = 'ash'\n";
        near(&constants(&Case::default().more(ash).nest().good())["bending_mpa"], 103.0);
    }),
    ("[[material]] like", || {
        let run = of(OF_OWN).nest().good();
        let c = constants(&run);
        near(&c["bending_mpa"], 105.0);
        near(&c["e_along_mpa"], 13_530.0);
        near(&run.sheet()["cut"]["kc"], 31.0);
        let said = [
            "[[material]] like: oak, white (Purpleheart)",
            "[[material]] strength: 105 MPa (Purpleheart) [[material]] stiffness: 13,500 MPa (Purpleheart)",
            "[[cutting-force]]: as that of the material it is like (Purpleheart)",
        ];
        let out = in_one_line(&run);
        said.iter().for_each(|s| assert!(out.contains(s), "{out}"));
        // A board's row goes by the thickness: 6 mm is "MDF >4-9 mm", 0.65 MPa through it.
        let board = "[[material]]\nname = 'purpleheart'\nlike = 'MDF'\n";
        near(&constants(&of(board).nest().good())["tension_across_mpa"], 0.65);
        let like =
            |l: &str| of(&format!("[[material]]\nname = 'purpleheart'\nlike = '{l}'\n")).nest();
        like("wallnut").refused(&["material 'purpleheart'", "did you mean 'walnut'?"]);
        like("purpleheart").refused(&["is itself a material of this job"]);
        of("[[material]]\nname = 'purpleheart'\n").nest().refused(&["say what it is like"]);
    }),
    ("[[material]] kind", || {
        let kind = |k: &str, more: &str| {
            of(&format!("[[material]]\nname = 'purpleheart'\nkind = '{k}'\n{more}")).nest()
        };
        // The wood nearest to 440 kg/m³ is Sitka spruce (448), its neighbours basswood (414) and yellow-poplar (470).
        let run = kind("wood", "density = '440 kg/m3'\n").good();
        assert!(run.out.contains("spruce, Sitka"), "{}", run.out);
        near(&constants(&run)["bending_mpa"], 70.0);
        kind("wood", "").refused(&["say what it is like"]);
        kind("stone", "").refused(&["wood, plywood, board or plastic, not 'stone'"]);
        kind("board", "like = 'walnut'\n").refused(&["'walnut' is a wood", "kind = \"wood\""]);
        for (name, has_grain) in [("plywood", true), ("board", false), ("plastic", false)] {
            assert_eq!(constants(&kind(name, "").good())["has_grain"], has_grain, "{name}");
        }
    }),
    ("[[material]] strength", || {
        // 21,000 psi = 144.79 MPa, over white oak's 105: all strengths are 1.379 times its.
        let more = |line: &str| of(&format!("{OF_OWN}{line}\n")).nest();
        let run = more("strength = '21000 psi'").good();
        let (c, oak) = (constants(&run), constants(&more("").good()));
        let times = 21_000.0 * 0.006_894_757 / 105.0;
        for key in [
            "bending_mpa",
            "tension_across_mpa",
            "shear_mpa",
            "section_across_mpa",
            "tab_across_mpa",
        ] {
            near(&c[key], times * oak[key].as_f64().expect("a strength"));
        }
        near(&c["e_along_mpa"], 13_530.0);
        near(&run.sheet()["cut"]["kc"], 31.0);
        assert!(
            !run.out.contains("[[material]] strength"),
            "what is given is not assumed: {}",
            run.out
        );
        // In a plastic a chip shears off: half the strength of the acrylic row (97 MPa), half its K_c of 160.
        let weak = "[[material]]\nname = 'purpleheart'\nlike = 'extruded acrylic'\nstrength = '48.5 MPa'\n";
        near(&of(weak).nest().good().sheet()["cut"]["kc"], 80.0);
        more("strength = 70").refused(&["material 'Purpleheart'", "not '70'", "\"70 MPa\""]);
        more("strength = '70'").refused(&["strength needs a number with its unit"]);
        more("strength = 'strong'").refused(&["not 'strong'"]);
        more("strength = '0 MPa'").refused(&["strength must be from 0.2 MPa to 1,000 MPa"]);
    }),
    ("[[material]] stiffness", || {
        let more = |line: &str| of(&format!("{OF_OWN}{line}\n")).nest();
        let (c, oak) =
            (constants(&more("stiffness = '27.06 GPa'").good()), constants(&more("").good()));
        for key in ["e_along_mpa", "e_across_mpa", "shear_modulus_mpa"] {
            near(&c[key], 2.0 * oak[key].as_f64().expect("a modulus"));
        }
        near(&c["bending_mpa"], 105.0);
        near(&constants(&more("stiffness = '2000 ksi'").good())["e_along_mpa"], 13_789.514);
        more("stiffness = '1 GPa'\nstrength = '800 MPa'")
            .refused(&["does not go with a stiffness"]);
    }),
    ("[[material]] density", || {
        // 60 lb/ft³ = 961.1 kg/m³, over white oak's 762: the cutting force is 1.261 times its.
        let more = |line: &str| of(&format!("{OF_OWN}{line}\n")).nest();
        let run = more("density = '60 lb/ft3'").good();
        near(&constants(&run)["density_kg_per_m3"], 60.0 * 16.018_463);
        let times = 60.0 * 16.018_463 / 762.0;
        near(&run.sheet()["cut"]["kc"], 31.0 * times);
        assert!(
            in_one_line(&run)
                .contains("[[cutting-force]]: 1.26 times that of the material it is like"),
            "{}",
            run.out
        );
        near(&more("density = '0.6 g/cm3'").good().sheet()["cut"]["kc"], 31.0 * 600.0 / 762.0);
        more("density = '0.6'").refused(&["density needs a number with its unit", "lb/ft3"]);
        // The job's own cutting force stands, and nothing is assumed of it.
        let force =
            "density = '60 lb/ft3'\n[[cutting-force]]\nmaterial = 'purpleheart'\nkc = 40\nke = 3\n";
        let run = more(force).good();
        near(&run.sheet()["cut"]["kc"], 40.0);
        assert!(!run.out.contains("[[cutting-force]]"), "{}", run.out);
    }),
];
