//! The rules of the naive oracle: each is broken on the hand-made sheet, and `verify` reports the same.

use crate::verify_support::everything::shift;
use crate::verify_support::{good_sheet, layout, naive};
use tabwright::layout::{PlacedPart, Sheet};
use tabwright::verify::{Rules, What, verify};

fn find(sheet: &Sheet, name: &str, copy: usize) -> usize {
    let is = |p: &PlacedPart| p.part == name && p.copy == copy;
    sheet.parts.iter().position(is).expect("a part of the sheet")
}

#[test]
fn keep_clear_remnants_marks_and_skins_are_judged_alike() {
    type Change = fn(&mut PlacedPart);
    let cases: [(&str, usize, Change, &str, What); 5] = [
        // 4 mm over an area, the gap is 3.175; 4.5 mm over the remnant; a plate's tab 7.5 mm from the edge's mark.
        ("cover", 1, |p| shift(p, 0.0, 1.0), "keep-clear", What::KeepClear),
        ("cover", 1, |p| shift(p, 1.0, 0.0), "keep-clear", What::KeepClear),
        ("gear", 2, |p| shift(p, 0.0, 2.0), "remnant", What::Remnant),
        ("plate", 1, |p| p.hold.tabs[0].at.x += 7.1, "kept clear of tabs", What::Tab),
        ("cover", 1, |p| p.hold.skin_mm = Some(6.0), "a skin", What::Tab),
    ];
    for (name, copy, change, naively, what) in cases {
        let mut sheet = good_sheet();
        let i = find(&sheet, name, copy);
        assert_eq!(naive::bad(&sheet, i, 1e-6), None, "{name}");
        change(&mut sheet.parts[i]);
        let said = naive::bad(&sheet, i, 1e-6).expect(naively);
        assert!(said.contains(naively), "{name}: {said}");
        let found = verify(&layout(vec![sheet]), &Rules::default());
        assert!(!found.is_empty() && found.iter().all(|p| p.what == what), "{name}: {found:?}");
    }
}
