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
    text: "Nobody rides on the planter but in a seat made for it, with work to do there, or stands \
           in its way on a test range; measure only when it has stopped.",
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
    text: "Tractor: roll-over bar up and belt on; nobody rides along but in a seat made for it.",
    source: "29 CFR 1928.51; 29 CFR 1928.57",
};
/// After treated seed.
pub static WASH: Caution = Caution {
    text: "After treated seed: wash before eating and at the end of work; gather up spilled seed as \
           the seed tag says.",
    source: "seed tag (7 CFR 201.31a); 40 CFR 170",
};
/// Before hands go under the machine.
pub static BLOCK_FIRST: Caution = Caution {
    text: "Before hands go to openers, gauge wheels or what sets the depth: machine lowered to the \
           ground or locked and blocked, never held by its hydraulics alone; engine off, key out, \
           all motion ended. A leaking line is never felt for by hand.",
    source: "29 CFR 1928.57; ANSI/ASABE S318; ISO 4254-1; HSE RR976",
};

/// Seed that is left over.
pub static LEFT_OVER: Caution = Caution {
    text: "Left-over treated or regulated seed does not go back into a seed bag: into a marked \
           container of its own, and on from there as the seed tag and the permit say.",
    source: "seed tag (7 CFR 201.31a); permit (7 CFR 340)",
};
/// The shaft from tractor to planter.
pub static POWER_SHAFT: Caution = Caution {
    text: "Power shaft: guarded over its whole length, from the tractor to the first bearing; nobody \
           near it in loose clothing, nobody over it while it can turn.",
    source: "29 CFR 1928.57; HSE on entanglement",
};
/// What runs on after the drive is out.
pub static RUN_DOWN: Caution = Caution {
    text: "A fan runs on after its drive is out: no meter is opened before fan and plates stand \
           still.",
    source: "29 CFR 1928.57; how long a fan runs on: the manual",
};
/// What the fan blows out.
pub static EXHAUST_DUST: Caution = Caution {
    text: "The fan's exhaust carries dust of the seed coating: stand upwind and clear of the outlet; \
           respirator and gloves as the seed tag asks.",
    source: "seed tag (7 CFR 201.31a); where to stand: common practice, no source",
};
/// Noise.
pub static HEARING: Caution = Caution {
    text: "Fan and engine are loud: ears protected beside the running machine, from 85 dB(A) on.",
    source: "29 CFR 1910.95, which binds general industry",
};
/// Lines over the field and the way to it.
pub static OVERHEAD_LINES: Caution = Caution {
    text: "Overhead lines: know how high the planter stands folded and raised, with its aerials, and \
           where the lines hang; current can jump without a touch.",
    source: "HSE AIS8",
};
/// Cleaning meters.
pub static NO_AIR: Caution = Caution {
    text: "No compressed air on meters that held treated seed: it blows the dust into faces; brush \
           or vacuum cleaner, gloves on.",
    source: "seed tag (7 CFR 201.31a); air: common practice, no source",
};
/// Seed caught under the machine.
pub static OVER_A_TRAY: Caution = Caution {
    text: "Seed caught over a tray under the raised machine: locked and blocked first, and nobody \
           under it while it hangs on its hydraulics alone.",
    source: "ISO 4254-1; ANSI/ASABE S318",
};
/// Turns of a wheel counted.
pub static TURNING_WHEEL: Caution = Caution {
    text: "Turns of a wheel or a shaft are counted from clear of it, by a mark that is seen from \
           there; nobody walks beside the moving machine within reach of it.",
    source: "29 CFR 1928.57; from where: common practice, no source",
};
/// Passes that all go out, with the planter brought back empty.
pub static DRIVEN_BACK: Caution = Caution {
    text: "Driven back empty: planter raised and locked, its drive and fan out, belt on; beside the \
           planted ground, with nobody in the lane, and a look behind before any backing.",
    source: "29 CFR 1928.51 for the belt; ISO 4254-1 for the raised machine; the rest: common \
             practice, no source",
};

/// For setting timers and looking at changeovers.
pub static CHANGEOVER: &[&Caution] = &[&MANUAL_FIRST, &NO_RIDERS, &CLEAR_OF_METERS, &SEED_TAG];
/// For looking into meters and their drive when a changeover went wrong.
pub static CHANGEOVER_AT_THE_DRIVE: &[&Caution] =
    &[&MANUAL_FIRST, &STOP_FIRST, &NO_RIDERS, &CLEAR_OF_METERS, &SEED_TAG];
/// For work on the drive.
pub static AT_THE_DRIVE: &[&Caution] = &[&MANUAL_FIRST, &STOP_FIRST, &SEED_TAG];
/// For setting the planting depth.
pub static AT_THE_OPENERS: &[&Caution] = &[&MANUAL_FIRST, &BLOCK_FIRST, &NO_RIDERS, &SEED_TAG];
/// For measuring behind the planter, and for a number that is set after it.
pub static ON_THE_RANGE: &[&Caution] = &[&MANUAL_FIRST, &NO_RIDERS, &SEED_TAG];
