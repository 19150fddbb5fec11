//! Which table holds what: one table for each kind, one column for each thing that a body of this version says.

/// How a cell is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Type {
    /// Text as it was typed.
    Text,
    /// An id of a record in another table.
    Id(&'static str),
    /// A whole number.
    Whole,
    /// A number.
    Number,
    /// `true` or `false`.
    Truth,
    /// A day, as `2026-03-02`.
    Day,
    /// A list, as JSON.
    List,
    /// An object, as JSON.
    Object,
}

/// One column: name, where it stands in the body, how it is read, what it says.
pub(super) struct Column {
    pub name: &'static str,
    pub path: &'static [&'static str],
    pub kind: Type,
    pub says: &'static str,
}

/// One table.
pub(super) struct Table {
    pub kind: &'static str,
    pub says: &'static str,
    pub columns: &'static [Column],
}

/// Name of the table for kinds that have none of their own.
pub const OTHERS: &str = "others";

use Type::{Day, Id, List, Number, Object, Text, Truth, Whole};

const fn column(name: &'static str, path: &'static [&'static str], kind: Type, says: &'static str) -> Column {
    Column { name, path, kind, says }
}

const GONE: Column = column("gone", &["gone"], Truth, "taken off; can be undone");
const VOID: Column = column("void", &["void"], Truth, "taken back; can be undone");
const CLASS: Column = column("class", &["class"], Id("class"), "the class");
const OF: Column = column("of", &["of"], Text, "id of the record that is corrected");

macro_rules! run_columns {
    ($($more:expr),*) => {
        &[
            CLASS,
            $($more,)*
            column("runner", &["run", "runner"], Id("runner-label"), "the child"),
            column("at_ms", &["run", "at_ms"], Whole, "the moment of the press, in ms since 1970 (UTC)"),
            column("drill", &["run", "drill"], Text, "id of the drill"),
            column("lane", &["run", "lane"], Text, "letter of the lane"),
            column("setup", &["run", "setup"], Text, "name of the lane as it stood"),
            column("lead", &["run", "lead"], Text, "leg that crossed first: left or right"),
            column("hurdles", &["run", "hurdles"], Whole, "hurdles in the lane"),
            column("knocked", &["run", "knocked"], List, "numbers of the hurdles that fell, from 1"),
            column("down_before", &["run", "down_before"], List, "numbers of the hurdles that lay down already"),
            column("watched", &["run", "watched"], Text, "knocks or technique"),
            column("faults", &["run", "faults"], List, "ids of the faults seen"),
            column("effort", &["run", "effort"], Number, "effort asked for, as a share of top speed"),
            column("exit_sprint", &["run", "exit_sprint"], Truth, "a sprint followed"),
            column("gap_m", &["run", "gap_m"], Number, "gap between hurdles, in m"),
            column("height_cm", &["run", "height_cm"], Number, "height of the hurdles, in cm"),
            column("source", &["run", "source"], Text, "tap, sound or paper"),
            column("sound", &["sound"], Object, "what was heard of the run"),
            VOID,
        ]
    };
}

macro_rules! timing_columns {
    ($($more:expr),*) => {
        &[
            CLASS,
            $($more,)*
            column("runner", &["timing", "runner"], Id("runner-label"), "the child"),
            column("stretch", &["timing", "stretch"], Id("stretch"), "the stretch"),
            column("method", &["timing", "method"], Text, "tap, second-phone, watch or gates"),
            column("error_s", &["timing", "error_s"], Number, "standard deviation of one press, in s"),
            column("timed", &["timing", "timed", "kind"], Text, "start, mark or times"),
            column("mark", &["timing", "timed", "mark"], Whole, "number of the mark, from 1"),
            column("start", &["timing", "timed", "start"], Text, "id of the start that a mark belongs to"),
            column("press_at_ms", &["timing", "timed", "press", "at_ms"], Whole, "the press, in ms since 1970"),
            column("press_clock_ms", &["timing", "timed", "press", "clock_ms"], Whole, "the steady clock"),
            column("press_device", &["timing", "timed", "press", "device"], Text, "the device"),
            column("times_s", &["timing", "timed", "times_s"], List, "typed times, one for each mark, in s"),
            column("at_ms", &["timing", "timed", "at_ms"], Whole, "when typed times were run, in ms since 1970"),
            VOID,
        ]
    };
}

macro_rules! bout_columns {
    ($($more:expr),*) => {
        &[
            CLASS,
            $($more,)*
            column("at_ms", &["bout", "at_ms"], Whole, "when it began, in ms since 1970 (UTC)"),
            column("drill", &["bout", "drill"], Text, "id of the drill"),
            column("lane", &["bout", "lane"], Text, "letter of the lane"),
            column("planned_s", &["bout", "planned_s"], Number, "length that was planned, in s"),
            column("seconds", &["bout", "seconds"], Number, "length, in s"),
            column("seed", &["bout", "seed"], Whole, "seed of the calls"),
            column("calls", &["bout", "calls"], Whole, "calls made"),
            column("runners", &["bout", "runners"], List, "the children: passes, turns, one_step_turns, falls"),
            column("down", &["bout", "down"], List, "numbers of the hurdles that fell and stayed down"),
            column("gap_m", &["bout", "gap_m"], Number, "gap between hurdles, in m"),
            column("source", &["bout", "source"], Text, "how turns were counted: tap (or empty) or sound"),
            column("sound", &["sound"], Object, "what was heard of the bout"),
            VOID,
        ]
    };
}

/// All tables, in the order in which a reader would look at them.
pub(super) const TABLES: &[Table] = &[
    Table {
        kind: "class",
        says: "Classes.",
        columns: &[column("name", &["name"], Text, "name of the class"), GONE],
    },
    Table {
        kind: "runner-label",
        says: "Children: what the coach calls them, and in which class they are.",
        columns: &[
            CLASS,
            column("label", &["label"], Text, "what the coach calls the child"),
            column("order", &["order"], Whole, "place in the list"),
            GONE,
        ],
    },
    Table {
        kind: "runner-about",
        says: "Sex and age of children; the id is the child's.",
        columns: &[
            column("sex", &["sex"], Text, "female or male"),
            column("age_y", &["age_y"], Number, "age in years on `age_on`"),
            column("age_on", &["age_on"], Day, "the day of `age_y`"),
            column("birth_date", &["birth_date"], Day, "date of birth"),
        ],
    },
    Table {
        kind: "measurement",
        says: "Sizes and steps that were measured.",
        columns: &[
            column("runner", &["runner"], Id("runner-label"), "the child"),
            column("on", &["on"], Day, "the day"),
            column("measured", &["measured", "kind"], Text, "stature, leg-length or steps"),
            column("stature_cm", &["measured", "stature_cm"], Number, "stature, in cm"),
            column("leg_length_cm", &["measured", "leg_length_cm"], Number, "leg length, in cm"),
            column("what", &["measured", "observation", "what"], Text, "how steps were observed"),
            column(
                "step_length_m",
                &["measured", "observation", "step_length_m"],
                Number,
                "one running step, in m",
            ),
            column(
                "distance_m",
                &["measured", "observation", "distance_m"],
                Number,
                "distance that was run or taped, in m",
            ),
            column("steps", &["measured", "observation", "steps"], Whole, "steps counted over it"),
            column("time_s", &["measured", "observation", "time_s"], Number, "time for it, in s"),
            column(
                "effort",
                &["measured", "observation", "effort"],
                Number,
                "effort asked for, as a share of top speed",
            ),
            column(
                "cadence_hz",
                &["measured", "observation", "cadence_hz"],
                Number,
                "steps a second that were heard",
            ),
            column(
                "cadence_sd_hz",
                &["measured", "observation", "cadence_sd_hz"],
                Number,
                "standard deviation of that, in steps a second",
            ),
            column("drill", &["measured", "observation", "drill"], Text, "drill in which a gap was tried"),
            column("gap_m", &["measured", "observation", "gap_m"], Number, "gap that was tried, in m"),
            column("verdict", &["measured", "observation", "verdict"], Text, "too-close, right or too-far"),
            VOID,
        ],
    },
    Table { kind: "run", says: "Runs as they were recorded.", columns: run_columns!() },
    Table {
        kind: "run-correction",
        says: "What runs really were, said later; of several for one run the greatest id counts.",
        columns: run_columns!(OF),
    },
    Table {
        kind: "sweep",
        says: "Looks at a whole lane.",
        columns: &[
            CLASS,
            column("runner", &["runner"], Id("runner-label"), "the child"),
            column("at_ms", &["at_ms"], Whole, "the moment, in ms since 1970 (UTC)"),
            column("drill", &["drill"], Text, "id of the drill"),
            column("lane", &["lane"], Text, "letter of the lane"),
            column("got_it", &["got_it"], Truth, "got it, or not yet"),
            VOID,
        ],
    },
    Table { kind: "bout", says: "Bouts as they were recorded.", columns: bout_columns!() },
    Table {
        kind: "bout-correction",
        says: "What bouts really were, said later.",
        columns: bout_columns!(OF),
    },
    Table {
        kind: "stretch",
        says: "Stretches on which times are taken.",
        columns: &[
            CLASS,
            column("lane", &["lane"], Text, "letter of the lane; nothing: the whole class"),
            column("marks", &["marks"], List, "marks: at_m from the start, ground"),
            column("start", &["start"], Text, "what begins the time"),
            column("run_up_m", &["run_up_m"], Number, "run-up, in m"),
            column("at_ms", &["at_ms"], Whole, "since when it stands, in ms since 1970"),
            VOID,
        ],
    },
    Table {
        kind: "timing",
        says: "Presses at starts and marks, and typed times.",
        columns: timing_columns!(),
    },
    Table {
        kind: "timing-correction",
        says: "What presses really were, said later.",
        columns: timing_columns!(OF),
    },
    Table {
        kind: "clock-check",
        says: "Comparisons of devices' clocks with the server's.",
        columns: &[
            column("device", &["device"], Text, "the device"),
            column("clock_ms", &["clock_ms"], Whole, "which steady clock of the device"),
            column("at_ms", &["at_ms"], Whole, "when, in ms since 1970 by that clock"),
            column("offset_ms", &["offset_ms"], Number, "server minus device, in ms"),
            column("error_ms", &["error_ms"], Number, "largest error of it, in ms"),
            column("round_trips", &["round_trips"], Whole, "questions asked"),
            VOID,
        ],
    },
    Table {
        kind: "today",
        says: "What children do on one day; the id is the child's.",
        columns: &[
            column("on", &["on"], Day, "the day"),
            column("presence", &["presence"], Text, "present, easy, helping or absent"),
        ],
    },
    Table {
        kind: "lane-sheet",
        says: "How the lanes of a class stand on one day; the id is the class's.",
        columns: &[
            column("on", &["on"], Day, "the day"),
            column("lanes", &["lanes"], List, "the lanes: letter, hurdles, height, drills, children, marks"),
        ],
    },
    Table {
        kind: "standing-lanes",
        says: "The lanes of a class as they stand on one day since something was recorded in them; the id is the class's.",
        columns: &[
            column("on", &["on"], Day, "the day"),
            column("since_ms", &["since_ms"], Whole, "since when, in ms since 1970"),
            column("lanes", &["lanes"], List, "the lanes: letter, hurdles, height, drills, children, marks"),
        ],
    },
    Table {
        kind: "line-up",
        says: "Classes lined up by size; the id is the class's.",
        columns: &[column("order", &["order"], List, "ids of the children, tallest first")],
    },
    Table {
        kind: "lane-wish",
        says: "Lanes in which children may run; the id is the child's.",
        columns: &[
            column("only", &["only"], Text, "only this lane"),
            column("never", &["never"], List, "never these lanes"),
        ],
    },
    Table {
        kind: "pair-wish",
        says: "Children who should share a lane, or should not.",
        columns: &[
            CLASS,
            column("first", &["first"], Id("runner-label"), "one child"),
            column("second", &["second"], Id("runner-label"), "the other child"),
            column("together", &["together"], Truth, "in one lane, or in different lanes"),
            VOID,
        ],
    },
    Table {
        kind: "plan-choice",
        says: "What is asked of the lanes; the id is the class's.",
        columns: &[
            column("drills", &["drills"], List, "ids of the drills, the main one first"),
            column("effort", &["effort"], Number, "effort, as a share of top speed"),
            column("lanes_max", &["lanes_max"], Whole, "most lanes"),
            column("exit_sprint_m", &["exit_sprint_m"], Number, "exit sprint, in m"),
            column("adults", &["adults"], Whole, "adults who watch lanes"),
            column("height_cm", &["height_cm"], Number, "height of hurdles wanted, in cm"),
            column("hurdles_per_lane_max", &["hurdles_per_lane_max"], Whole, "most hurdles in a lane"),
            column("run_up_steps_max", &["run_up_steps_max"], Whole, "most steps of run-up"),
        ],
    },
    Table {
        kind: "import",
        says: "Class lists that were read in.",
        columns: &[
            CLASS,
            column("sha256", &["sha256"], Text, "SHA-256 of the file"),
            column("at_ms", &["at_ms"], Whole, "when, in ms since 1970"),
            column("runners", &["runners"], List, "ids of the children that it added"),
            VOID,
        ],
    },
    Table {
        kind: "kit",
        says: "The bag of hurdles; the id is the school's.",
        columns: &[
            column("hurdles", &["kit", "hurdles"], List, "height_cm and count of each sort"),
            column("hurdle_width_m", &["kit", "hurdle_width_m"], Number, "width of a hurdle, in m"),
            column("base_depth_m", &["kit", "base_depth_m"], Number, "depth of its base, in m"),
            column("shoe_length_m", &["kit", "shoe_length_m"], Number, "longest shoe, in m"),
            GONE,
        ],
    },
    Table {
        kind: "space",
        says: "The floor; the id is the school's.",
        columns: &[
            column("length_m", &["space", "length_m"], Number, "length, in m"),
            column("width_m", &["space", "width_m"], Number, "width, in m"),
            column("surface", &["space", "surface"], Text, "what it is made of"),
            column("wall_start", &["space", "wall_start"], Truth, "a wall behind the start"),
            column("wall_finish", &["space", "wall_finish"], Truth, "a wall behind the finish"),
            column("wall_left", &["space", "wall_left"], Truth, "a wall on the left"),
            column("wall_right", &["space", "wall_right"], Truth, "a wall on the right"),
            GONE,
        ],
    },
    Table {
        kind: "erasure",
        says: "What was erased: ids only. It stays away for ever.",
        columns: &[
            column("what", &["what"], Text, "runner, class, record or before"),
            column(
                "before_ms",
                &["before_ms"],
                Whole,
                "the moment before which all was erased, in ms since 1970",
            ),
        ],
    },
    Table {
        kind: "retention",
        says: "How long the school keeps what was seen; the id is the school's.",
        columns: &[column("keep_days", &["keep_days"], Whole, "days")],
    },
];
