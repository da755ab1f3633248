//! Seed packets and the lots that fill them.

use std::collections::BTreeMap;

use crate::calculations::packets::{AtHand, Field, Inputs, Lot, Plants, Rate};
use crate::calculations::{Common, changeover, stakes};
use crate::quantity::Decimal;
use crate::sheet::packets::Table;
use crate::sheet::placed::Placed;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes, lot};

use super::need::Need;

/// The packets, where the sheet has a table of them.
pub(super) fn packets(
    tables: &Tables,
    changeover: Option<&changeover::Inputs>,
    layout: Option<&stakes::Inputs>,
    common: &Common,
    reader: &mut Reader<'_>,
) -> Option<Inputs> {
    let Some(table) = &tables.packets else {
        if let Some(lot) = tables.lots.first() {
            let need = Need { run: "[[lot]]", span: &lot.span };
            need.missing(reader, "packets", "[packets]", "[packets], which may stand empty");
        }
        return None;
    };
    let need = Need { run: "[packets]", span: &table.span };
    let trial = &tables.trial;
    let plot = need.of_trial(reader, tables, trial.plot.as_ref(), "plot", "\"17 ft 6 in\"");
    let entries = counted(&need, reader, "entries", "40", trial.entries.as_ref());
    let reps = counted(&need, reader, "reps", "4", trial.reps.as_ref());
    let planter_rows = tables.planter.rows.as_ref().map(|rows| rows.value);
    let rows = trial.rows_per_plot.as_ref().map(|rows| rows.value).or(planter_rows);
    if rows.is_none() && reader.must_say("planter.rows") {
        need.missing(
            reader,
            "trial.rows-per-plot",
            "`rows-per-plot` in [trial]",
            "rows-per-plot = 4",
        );
    }
    if tables.planter.row_spacing.is_none() {
        let path = "planter.row-spacing";
        need.missing(reader, path, "`row-spacing` in [planter]", "row-spacing = \"30 in\"");
    }
    let rate = rate(tables, table, &need, reader);
    let lots = lots(tables, table, entries, reader);
    no_effect(tables, table, reader);
    let field = || Some([trial.ranges?, trial.passes?, planter_rows?]);
    Some(Inputs {
        plot: plot?,
        row_spacing: tables.planter.row_spacing.as_ref()?.value.clone(),
        rate: rate?,
        stand: trial.stand.as_ref().map(|stand| stand.value.clone()),
        tolerance: trial.tolerance.spacing.clone(),
        per: table.per,
        rows_per_plot: rows?,
        entries: entries?,
        reps: reps?,
        field: field(),
        weight: table.seed.weight.clone(),
        germination: table.seed.germination.as_ref().map(|share| share.value.clone()),
        emergence: table.emergence.as_ref().map(|share| share.value.clone()),
        reserve: table.reserve.clone(),
        balance_step: table.balance_step.as_ref().map(|step| step.value.clone()),
        fill_plate: table.fill_plate,
        cleaned_out: table.cleaned_out,
        changeover: changeover.filter(|inputs| inputs.is_set()).cloned().map(Box::new),
        lots: lots?,
        beside: table.beside.clone(),
        plan: plan(tables, layout, common, entries, reader),
    })
}

/// The field with the entry of each plot, where the sheet has both.
fn plan(
    tables: &Tables,
    layout: Option<&stakes::Inputs>,
    common: &Common,
    entries: Option<Decimal>,
    reader: &mut Reader<'_>,
) -> Option<Box<Field>> {
    let layout = layout?;
    let Some(listed) = &tables.plots else {
        return Some(Box::new(Field { layout: layout.clone(), entries: None }));
    };
    let plots: BTreeMap<u32, bool> =
        layout.layout(common).plots().map(|plot| (plot.number, plot.filler)).collect();
    let most = entries.and_then(Decimal::as_whole).unwrap_or(u32::MAX);
    let mut all = BTreeMap::new();
    for (plot, entry, place) in listed {
        let (message, advice) = if !plots.contains_key(plot) {
            (format!("the layout has no plot {plot}"), "`stakes` lists the plots of the layout")
        } else if plots.get(plot) == Some(&true) {
            let words = format!("plot {plot} lies in a range of fillers, which have no entry");
            (words, "take the row out, or `fillers` in [[layout.other-plots]]")
        } else if !(1..=most).contains(entry) {
            let words = format!("the trial has no entry {entry}: it has {most} entries");
            (words, "mend `entries` in [trial], or the list")
        } else if all.insert(*plot, *entry).is_some() {
            (format!("plot {plot} stands in the list twice"), "leave it in once")
        } else {
            continue;
        };
        reader.say(&codes::LIST_FILE, place.clone(), message, advice);
    }
    Some(Box::new(Field { layout: layout.clone(), entries: Some(all) }))
}

fn counted(
    need: &Need<'_>,
    reader: &mut Reader<'_>,
    key: &str,
    example: &str,
    value: Option<&Placed<Decimal>>,
) -> Option<Decimal> {
    if value.is_none() {
        let what = format!("`{key}` in [trial]");
        need.missing(reader, &format!("trial.{key}"), &what, &format!("{key} = {example}"));
    }
    value.map(|placed| placed.value)
}

/// Seeds wanted, or plants wanted with what makes seeds of them.
fn rate(tables: &Tables, table: &Table, need: &Need<'_>, reader: &mut Reader<'_>) -> Option<Rate> {
    let trial = &tables.trial;
    if let Some(target) = &trial.target {
        return Some(Rate::Seeds(target.clone()));
    }
    let Some(stand) = &trial.stand else {
        let paths = ["trial.population", "trial.seed-spacing", "trial.stand"];
        if paths.iter().all(|path| reader.must_say(path)) {
            let message = "[packets] needs to know how thick to plant";
            let advice = "add `population`, `seed-spacing` or `stand` under [trial]";
            reader.say(&codes::MISSING_KEY, need.span.clone(), message, advice);
        }
        return None;
    };
    for (key, there) in [
        ("germination", table.seed.germination.is_some()),
        ("emergence", table.emergence.is_some()),
    ] {
        if !there && reader.must_say(&format!("packets.{key}")) {
            let message = format!("`stand` makes seeds of plants and needs `{key}` in [packets]");
            let advice = format!(
                "add `{key} = \"90 %\"` under [packets], or `population` under [trial], which \
                 counts seeds"
            );
            reader.say(&codes::MISSING_KEY, stand.span.clone(), message, advice);
        }
    }
    Some(Rate::Plants(Box::new(Plants {
        stand: stand.value.clone(),
        germination: table.seed.germination.as_ref()?.value.clone(),
        emergence: table.emergence.as_ref()?.value.clone(),
    })))
}

/// The lots with the number of their entry; `None` where any of them was refused.
fn lots(
    tables: &Tables,
    table: &Table,
    entries: Option<Decimal>,
    reader: &mut Reader<'_>,
) -> Option<Vec<Lot>> {
    let mut seen_names = BTreeMap::new();
    let mut seen_entries = BTreeMap::new();
    let most = entries.and_then(Decimal::as_whole).unwrap_or(u32::MAX);
    let mut all = Some(Vec::new());
    for (place, lot) in (1_u32..).zip(&tables.lots) {
        let entry = lot.entry.as_ref().map_or(place, |entry| entry.value);
        let span = lot.entry.as_ref().map_or(&lot.span, |entry| &entry.span);
        let mut good = true;
        if entry > most {
            let message =
                format!("this lot is for entry {entry}, and the trial has {most} entries");
            let advice = "mend `entries` in [trial], or take the lot out";
            reader.say(&codes::OUT_OF_RANGE, span.clone(), message, advice).allowed =
                Some(format!("1 to {most}"));
            good = false;
        } else if let Some(other) = seen_entries.insert(entry, place) {
            let message = format!("lots {other} and {place} are both for entry {entry}");
            let advice = "a lot without `entry` is for the entry of its place in the list; give \
                          every lot its own";
            reader.say(&codes::CONFLICT, span.clone(), message, advice);
            good = false;
        }
        if let Some(name) = &lot.name
            && let Some(other) = seen_names.insert(name.value.as_str(), place)
        {
            let message = format!("lots {other} and {place} have the same name");
            let advice = "give every lot its own name";
            reader.say(&codes::CONFLICT, name.span.clone(), message, advice);
            good = false;
        }
        good &= weighed(lot, table, reader);
        let read = lot.name.as_ref().filter(|_| good).map(|name| Lot {
            name: name.value.clone(),
            entry,
            at_hand: lot.at_hand.clone(),
            weight: lot.seed.weight.clone(),
            germination: lot.seed.germination.as_ref().map(|share| share.value.clone()),
            treatment: lot.treatment.clone(),
        });
        all = all.zip(read).map(|(mut all, read)| {
            all.push(read);
            all
        });
    }
    all
}

/// Whether a mass at hand can be turned into seeds.
fn weighed(lot: &lot::Table, table: &Table, reader: &mut Reader<'_>) -> bool {
    let unknown = !lot.seed.weighs && !table.seed.weighs;
    let (true, Some(AtHand::Mass(_)), Some(span)) = (unknown, &lot.at_hand, &lot.mass) else {
        return true;
    };
    let message = "a mass at hand needs to be known in seeds";
    let advice = "add `thousand-seed-weight = \"180 g\"` to the lot or under [packets], or give \
                  the lot in `seeds`";
    reader.say(&codes::MISSING_KEY, span.clone(), message, advice);
    false
}

/// Keys that change nothing, each with a remark.
fn no_effect(tables: &Tables, table: &Table, reader: &mut Reader<'_>) {
    let mut remark = |span: std::ops::Range<usize>, message: &str, advice: &str| {
        reader.say(&codes::UNUSED_KEY, span, message, advice);
    };
    let of_lots = |of: fn(&lot::Table) -> bool| tables.lots.iter().any(of);
    let advice = "add the other one, or take this one out";
    if let (Some(emergence), None) = (&table.emergence, &table.seed.germination)
        && !of_lots(|lot| lot.seed.germination.is_some())
    {
        let message = "`emergence` has no effect without `germination`";
        remark(emergence.span.clone(), message, advice);
    }
    if table.emergence.is_none() {
        let own = tables.lots.iter().map(|lot| &lot.seed.germination);
        for germination in own.chain([&table.seed.germination]).flatten() {
            let message = "`germination` has no effect without `emergence` in [packets]";
            remark(germination.span.clone(), message, advice);
        }
    }
    if let (Some(step), false) = (&table.balance_step, table.seed.weighs)
        && !of_lots(|lot| lot.seed.weighs)
    {
        let message = "`balance-step` has no effect where no seed has a weight";
        let advice = "add `thousand-seed-weight` or `seed-size`, or take this one out";
        remark(step.span.clone(), message, advice);
    }
}
