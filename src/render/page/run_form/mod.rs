//! Run forms: blanks for the very measurements that the sheet takes, with plain labels, the keys of
//! the sheet small beside them, what is in force preprinted, and a picture of what is measured from
//! where to where.

mod ground;
mod kinds;

use crate::outcome::cautions::{
    CLEAR_OF_METERS, DRIVEN_BACK, MANUAL_FIRST, NO_RIDERS, SEED_TAG, TURNING_WHEEL,
};
use crate::sheet::writing::KINDS;

use super::blocks::Block;
use super::in_force::after_the_step;
use super::material::Material;

use ground::{Ground, Sheet};
use kinds::{PAPERS, without_picture};

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let forms = forms(material);
    let mut blocks = vec![Block::Words(
        "Fill in on the test range, in ink; type in the same day, each form from top to bottom. In \
         this order each rests on the ones before; what a change has upset is measured again. A \
         reading that is wrong is struck out once, so that it can still be read, with the right one \
         beside it, why, the day and initials. Out goes to the right \u{2192}, home to the left \
         \u{2190}, on every form."
            .into(),
    )];
    blocks.extend(forms.iter().map(|(heading, _, _, form)| {
        Block::Tick(format!("{heading}: {} readings", form.count), None)
    }));
    let cautions = [&MANUAL_FIRST, &NO_RIDERS, &CLEAR_OF_METERS, &TURNING_WHEEL, &SEED_TAG];
    blocks.extend(cautions.map(Block::Caution));
    blocks.extend(material.sheet.facts.has.one_way.then_some(Block::Caution(&DRIVEN_BACK)));
    // A long list of forms leaves less room, or none: every form has some of its own.
    let lines = 10_usize.saturating_sub(forms.len()).min(4);
    if lines > 0 {
        blocks.push(Block::Room("Field, ground, weather".into(), lines));
    }
    for (heading, how, picture, form) in forms {
        blocks.push(Block::NewPage);
        blocks.push(Block::Heading(heading.into_owned()));
        blocks.push(Block::Words(how));
        blocks.extend(picture.map(Block::Picture));
        blocks.push(Block::Form(form));
    }
    blocks
}

/// The forms that the sheet has a use for. A sheet that says nothing of the planter gets all.
fn forms(material: &Material<'_>) -> Vec<Sheet> {
    let facts = &after_the_step(&material.sheet.facts, material.report);
    let ground = Ground { facts, planned: material.plan };
    let open = !facts.has.anything;
    let named = |name: &str| KINDS.iter().find(|kind| kind.name == name);
    let mut forms = vec![];
    for paper in PAPERS.iter().filter(|paper| open || (paper.wanted)(facts)) {
        forms.extend(named(paper.kind).into_iter().flat_map(|kind| (paper.forms)(&ground, kind)));
    }
    let runs = &material.sheet.record.runs;
    let plain = KINDS.iter().filter(|kind| PAPERS.iter().all(|paper| paper.kind != kind.name));
    let wanted = plain.filter(|kind| open || runs.iter().any(|run| run.table == kind.table));
    forms.extend(wanted.flat_map(|kind| without_picture(&ground, kind)));
    forms
}
