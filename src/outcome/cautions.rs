//! What protects the hands that carry a result to the machine. Each with its source; the
//! machine's own manual goes before all of them.

/// A caution with its source.
#[derive(Debug, PartialEq, Eq)]
pub struct Caution {
    /// What to do.
    pub text: &'static str,
    /// Where the rule stands.
    pub source: &'static str,
}

/// Before hands go near chains, sprockets and plates.
pub static STOP_FIRST: Caution = Caution {
    text: "Before hands go to chains, sprockets or plates: engine off, key out, all motion \
           ended, raised parts blocked, guards back on before the engine starts.",
    source: "29 CFR 1928.57; ANSI/ASABE S318; ISO 4254-1",
};
/// Who has the last word.
pub static MANUAL_FIRST: Caution = Caution {
    text: "Follow the machine's manual and local rules; have trained people do or check the \
           work.",
    source: "ISO 4254-9:2018",
};
/// Treated seed.
pub static SEED_TAG: Caution = Caution {
    text: "Treated seed: gloves and what else the seed tag asks for, also when digging seed up.",
    source: "seed tag (7 CFR 201.31a); 40 CFR 170",
};
/// Treated seed in the hands of those who pack it.
pub static PACKING: Caution = Caution {
    text: "Treated seed: pack it with the gloves, the mask and the fresh air that the seed tag \
           asks for, and mark the packets as treated; never use what is left for food, feed or \
           oil.",
    source: "seed tag (7 CFR 201.31a); 40 CFR 170",
};
/// People near a test range.
pub static NO_RIDERS: Caution = Caution {
    text: "Nobody rides on the planter or stands in its way on a test range; measure only when \
           it has stopped.",
    source: "29 CFR 1928.57",
};

/// Timers and moving meters.
pub static CLEAR_OF_METERS: Caution = Caution {
    text: "Nobody reaches into a meter, a holder or a seed tube while the planter can trip: \
           plates and gates move by themselves.",
    source: "29 CFR 1928.57; ISO 4254-9:2018",
};

/// Machines held up in the air.
pub static BLOCK_RAISED: Caution = Caution {
    text: "Nobody under a raised machine that hangs on its hydraulics alone: locks in, blocks \
           under it, pressure off.",
    source: "ISO 4254-1; ANSI/ASABE S318",
};
/// Looking for leaks of hydraulic oil.
pub static HYDRAULIC_LEAKS: Caution = Caution {
    text: "Leaks of hydraulic oil: pressure off first, look with card or wood, never with a hand. \
           Oil under the skin is an emergency: to hospital at once.",
    source: "HSE RR976",
};
/// On the tractor.
pub static ROLL_BAR: Caution = Caution {
    text: "Tractor: roll-over bar up and belt on; nobody rides along without a seat of their own.",
    source: "29 CFR 1928.51; 29 CFR 1928.57",
};
/// After treated seed.
pub static WASH: Caution = Caution {
    text: "After treated seed: wash before eating and at the end of work; left-over seed goes back \
           into its labelled bag, spilled seed is gathered up, as the seed tag says.",
    source: "seed tag (7 CFR 201.31a); 40 CFR 170",
};
/// Before hands go under the machine.
pub static BLOCK_FIRST: Caution = Caution {
    text: "Before hands go to openers, gauge wheels or what sets the depth: machine lowered to the \
           ground or locked and blocked, never held by its hydraulics alone; engine off, key out, \
           all motion ended. A leaking line is never felt for by hand.",
    source: "29 CFR 1928.57; ANSI/ASABE S318; ISO 4254-1; HSE RR976",
};

/// For setting timers and looking at changeovers.
pub static CHANGEOVER: &[&Caution] = &[&NO_RIDERS, &CLEAR_OF_METERS, &SEED_TAG, &MANUAL_FIRST];
/// For looking into meters and their drive when a changeover went wrong.
pub static CHANGEOVER_AT_THE_DRIVE: &[&Caution] =
    &[&STOP_FIRST, &NO_RIDERS, &CLEAR_OF_METERS, &SEED_TAG, &MANUAL_FIRST];
/// For work on the drive.
pub static AT_THE_DRIVE: &[&Caution] = &[&STOP_FIRST, &SEED_TAG, &MANUAL_FIRST];
/// For setting the planting depth.
pub static AT_THE_OPENERS: &[&Caution] = &[&BLOCK_FIRST, &NO_RIDERS, &SEED_TAG, &MANUAL_FIRST];
/// For measuring behind the planter.
pub static ON_THE_RANGE: &[&Caution] = &[&NO_RIDERS, &SEED_TAG];
