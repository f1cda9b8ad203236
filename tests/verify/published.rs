//! Published nesting layouts (ESICUP, CC0; see `tests/data/layouts/README.md`): the good layouts are accepted
//! with their published length and density, the rounded layouts are rejected pair by pair.

use crate::verify_support::published::{Published, published};
use tabwright::verify::{Finding, PartFinding, Problem, Rules, What, verify};

/// Coordinates were published with seven digits: penetrations up to a millionth of the strip's width pass.
fn rules(p: &Published) -> Rules<'_> {
    Rules {
        tolerance: 1e-6 * p.strip_width,
        counts: Some(&p.counts),
        shapes: Some(&p.shapes),
        ..Rules::default()
    }
}

#[test]
fn layouts_of_gomes_and_oliveira_are_accepted_with_their_length_and_density() {
    // Gomes & Oliveira, EJOR 171(3), 2006, 811-829: lengths and densities as stated in the files.
    for name in [
        "albano", "blaz1", "dagli", "dighe1", "fu", "mao", "marques", "shapes0", "shapes1",
        "shirts",
    ] {
        let p = published(&format!("{name}_SAHA"));
        assert_eq!(verify(&p.layout, &rules(&p)), [], "{name}");
        let length = p.layout.sheets[0].outline.bounds().width();
        // Both are stated with three decimals, or five for the density.
        assert!((length - p.stated_length).abs() <= 0.00051, "{name}: {length}");
        let density = 1.0 - p.layout.waste_percent / 100.0;
        assert!((density - p.stated_density).abs() <= 1.1e-5, "{name}: {density}");
    }
}

#[test]
fn rounded_layouts_are_rejected_naming_pairs() {
    // Overlaps measured for the data's README: dagli 0.569 mm² in the worst pair, fu 0.00133, marques 0.677.
    for (name, worst) in [("dagli", 0.569305), ("fu", 0.001333), ("marques", 0.677243)] {
        let p = published(&format!("{name}_BeamSearch"));
        let problems = verify(&p.layout, &rules(&p));
        let overlaps: Vec<_> = problems.iter().filter(|q| q.what == What::Overlap).collect();
        assert!(!overlaps.is_empty(), "{name}");
        for q in &overlaps {
            assert!(q.part.is_some() && q.other.is_some() && q.at.is_some(), "{q:?}");
        }
        let area = |q: &&Problem| match q.found {
            Finding::Part(PartFinding::Overlap { area_mm2 }) => area_mm2,
            _ => f64::NAN,
        };
        let most = overlaps.iter().map(area).fold(0.0, f64::max);
        assert!((most - worst).abs() < 0.0006, "{name}: {most}");
    }
}
