//! The actions of `[changeover]` together: what they lack, whether each can start, and the list that the
//! calculation takes.

use crate::calculations::changeover::{Action, Edge, Extent, Work};
use crate::outcome::Part;
use crate::quantity::Decimal;

use super::changeover::{Kind, Table, Typed};
use super::codes;
use super::reader::{Reader, suggestion};

/// The list as the calculation takes it, where nothing of it is missing or wrong; what is, is
/// reported.
pub(super) fn actions(
    reader: &mut Reader<'_>,
    table: &Table,
    carry: Option<&Decimal>,
) -> Option<Vec<Action>> {
    let checks = [
        names_apart(reader, table),
        known(reader, table),
        starts(reader, table),
        complete(reader, table),
        lengths(reader, table),
        ends(reader, table),
        figures(reader, table),
        sweeps(reader, table, carry),
    ];
    if checks.contains(&false) {
        return None;
    }
    table.actions.iter().map(|typed| action(table, typed)).collect()
}

fn action(table: &Table, typed: &Typed) -> Option<Action> {
    let after = match &typed.after {
        Some(name) => Some((table.place(name.value)?, typed.edge?)),
        None => None,
    };
    let work = match typed.kind? {
        Kind::CleanOut => Work::CleanOut {
            old_seed_gone: typed.old_seed_gone.clone(),
            least: typed.least.as_ref().map(|least| least.value.clone()),
            usual: typed.usual.clone(),
        },
        Kind::HandOver => Work::HandOver { new_seed_at_pick_up: typed.new_seed_at_pick_up.clone() },
        Kind::Boost => Work::Boost { rate: typed.rate.clone()? },
        Kind::Sweep => Work::Sweep { cells_before_release: typed.cells.as_ref()?.value },
    };
    Some(Action {
        name: typed.name.as_ref()?.value,
        work,
        after,
        wait: typed.wait.clone(),
        lasts: typed.lasts.clone(),
        step: typed.step.clone(),
        fixed: typed.fixed.clone(),
    })
}

fn names_apart(reader: &mut Reader<'_>, table: &Table) -> bool {
    let mut fine = true;
    for (place, typed) in table.actions.iter().enumerate() {
        let Some(name) = &typed.name else { continue };
        if table.place(name.value) != Some(place) {
            let message = format!("another action is called \"{}\" already", name.value);
            let advice = "give each action a name of its own";
            reader.say(&codes::ACTION_NAME, name.span.clone(), message, advice).allowed =
                Some("a name that no other action has".into());
            fine = false;
        }
    }
    fine
}

/// Every action that another comes after is there.
fn known(reader: &mut Reader<'_>, table: &Table) -> bool {
    let mut fine = true;
    for after in table.actions.iter().filter_map(|typed| typed.after.as_ref()) {
        if table.place(after.value).is_none() {
            let names: Vec<String> = table
                .actions
                .iter()
                .filter_map(|one| Some(one.name.as_ref()?.value.to_string()))
                .collect();
            let name = after.value.to_string();
            let message = format!("no action is called \"{name}\"");
            let near = suggestion(&name, names.iter().map(String::as_str));
            let advice = near.map_or_else(
                || "write the name of another action, or leave `after` out for the trip".into(),
                |near| format!("did you mean \"{near}\"?"),
            );
            reader.say(&codes::UNKNOWN_ACTION, after.span.clone(), message, advice).allowed =
                Some(table.names());
            fine = false;
        }
    }
    fine
}

/// No action waits for itself, by way of others or not.
fn starts(reader: &mut Reader<'_>, table: &Table) -> bool {
    let next = |place: usize| {
        let after = table.actions.get(place)?.after.as_ref()?;
        table.place(after.value)
    };
    let mut told: Vec<usize> = vec![];
    for start in 0..table.actions.len() {
        let mut circle = vec![];
        let mut place = next(start);
        while let Some(other) = place.filter(|_| circle.len() < table.actions.len()) {
            circle.push(other);
            if other == start {
                break;
            }
            place = next(other);
        }
        if circle.last() != Some(&start) || circle.iter().any(|one| told.contains(one)) {
            continue;
        }
        let typed = &table.actions[start];
        let Some(after) = &typed.after else { continue };
        let names: Vec<String> = std::iter::once(&start)
            .chain(&circle)
            .filter_map(|one| Some(format!("\"{}\"", table.actions[*one].name.as_ref()?.value)))
            .collect();
        let message = format!("actions start each other in a circle: {}", names.join(" after "));
        let advice = "leave `after` and `from` out in the one that the trip starts";
        reader.say(&codes::ACTION_CIRCLE, after.span.clone(), message, advice);
        told.extend(circle);
    }
    told.is_empty()
}

/// Something takes old seed out, and something lets the next lot in; of each the machine's own time is
/// known.
fn complete(reader: &mut Reader<'_>, table: &Table) -> bool {
    // What an action does may have been a mistake of its own.
    if table.actions.iter().any(|one| one.kind.is_none()) {
        return false;
    }
    let wanted = [
        (Kind::CleanOut, "takes old seed out", "old-seed-gone = \"0.9 s\""),
        (Kind::HandOver, "lets the next lot in", "new-seed-at-pick-up = \"0.2 s\""),
    ];
    let mut fine = true;
    for (kind, what, line) in wanted {
        let of_kind = || table.actions.iter().filter(|one| one.kind == Some(kind));
        let (key, _) = line.split_once(' ').unwrap_or((line, ""));
        let timed = |one: &Typed| match kind {
            Kind::CleanOut => one.has_old_seed_gone,
            _ => one.has_new_seed,
        };
        let Some(first) = of_kind().next() else {
            let does = kind.words().trim_start_matches("a ");
            let message = format!("no action of [changeover] {what}");
            let advice = format!("add a [[changeover.action]] with does = \"{does}\" and {line}");
            reader.say(&codes::NO_ACTION, table.span.clone(), message, advice);
            fine = false;
            continue;
        };
        if !of_kind().any(timed) {
            let message = format!("[[changeover.action]] has no `{key}`");
            let advice = format!("add `{line}`, as the machine was timed in the shop");
            reader.say(&codes::MISSING_KEY, first.span.clone(), message, advice);
            fine = false;
        }
    }
    fine
}

/// Clean-outs and boosts have their lengths all or none, but for those that can't be changed.
fn lengths(reader: &mut Reader<'_>, table: &Table) -> bool {
    let needs = |one: &&Typed| matches!(one.kind, Some(Kind::CleanOut | Kind::Boost));
    let fixed = |one: &Typed| one.fixed.contains(&Part::For);
    let all = || table.actions.iter().filter(needs);
    let any = all().any(|one| one.has_length && !fixed(one));
    let mut fine = true;
    for one in all().filter(|one| !one.has_length && (any || fixed(one))) {
        let message = "[[changeover.action]] has no `for`";
        let advice = if fixed(one) {
            "add `for`, which by `fixed` can't be changed, and so is known"
        } else {
            "add `for = \"0.5 s\"`: either all clean-outs and boosts have it, or none"
        };
        reader.say(&codes::MISSING_KEY, one.span.clone(), message, advice);
        fine = false;
    }
    fine
}

/// What another comes after the end of has an end.
fn ends(reader: &mut Reader<'_>, table: &Table) -> bool {
    let mut fine = true;
    for typed in table.actions.iter().filter(|typed| typed.edge == Some(Edge::End)) {
        let Some(after) = &typed.after else { continue };
        let Some(other) = table.place(after.value).map(|place| &table.actions[place]) else {
            continue;
        };
        // One that is still to be found has one then.
        let is_found = matches!(other.kind, Some(Kind::CleanOut | Kind::Boost));
        if !other.has_length && !is_found {
            let message = format!("\"{}\" has no end: it has no `for`", after.value);
            let advice = "give that action its `for`, or write from = \"start\"";
            reader.say(&codes::MISSING_KEY, after.span.clone(), message, advice);
            fine = false;
        }
    }
    fine
}

/// The least of a clean-out is no longer than the usual one, and both are of one kind.
fn figures(reader: &mut Reader<'_>, table: &Table) -> bool {
    let mut fine = true;
    for typed in &table.actions {
        let (Some(least), Some(usual)) = (&typed.least, &typed.usual) else { continue };
        let message = match (least.value.is_time() == usual.is_time(), usual) {
            (true, _) if least.value.base() <= usual.base() => continue,
            (true, _) => "the least clean-out can't be longer than the usual one",
            (false, Extent::Time(_)) => "the least is a way, and the usual one a time",
            (false, Extent::Way(_)) => "the least is a time, and the usual one a way",
        };
        let advice = "give the shortest clean-out at all here";
        reader.say(&codes::OUT_OF_RANGE, least.span.clone(), message, advice).allowed =
            Some(format!("0 s to {usual}, which is `usual`"));
        fine = false;
    }
    fine
}

fn sweeps(reader: &mut Reader<'_>, table: &Table, carry: Option<&Decimal>) -> bool {
    let Some(carry) = carry else { return true };
    let mut fine = true;
    for cells in table.actions.iter().filter_map(|typed| typed.cells.as_ref()) {
        if cells.value.value() > carry.value() {
            let message = "the sweep can't lie more cells before release than pick-up does";
            let advice = "count the cells from the sweep to where a seed leaves the plate";
            reader.say(&codes::OUT_OF_RANGE, cells.span.clone(), message, advice).allowed =
                Some(format!("0 to {carry}, which is `carry` in [planter.plate]"));
            fine = false;
        }
    }
    fine
}
