//! What lies on the shelf: each file with the topic and the level that `assignments/README.md` gives it.
//!
//! In: the files, when the program is built. Out: a table in the order of that page. The test
//! `tests/suite/shelf.rs` asks for every file of the shelf, under the topic and the level of the page.

use super::{Drawer, Item};

/// An assignment, by its level and its name below `assignments`; `drawn` has a figure of that name.
macro_rules! item {
    ($level:literal, $name:literal) => {
        item!(@ $level, $name, None)
    };
    ($level:literal, $name:literal, drawn) => {
        item!(@ $level, $name, Some(include_str!(concat!("../../assignments/", $name, ".svg"))))
    };
    (@ $level:literal, $name:literal, $figure:expr) => {
        Item {
            level: $level,
            name: $name,
            text: include_str!(concat!("../../assignments/", $name, ".toml")),
            figure: $figure,
        }
    };
}

/// All of the shelf, topic by topic.
pub(super) const DRAWERS: &[Drawer] = &[
    Drawer {
        topic: "motion",
        items: &[
            item!(1, "motion/tram-1", drawn),
            item!(2, "motion/ferries-1", drawn),
            item!(1, "motion/braking-1", drawn),
            item!(1, "motion/toss-1"),
        ],
    },
    Drawer {
        topic: "projectiles",
        items: &[
            item!(2, "projectiles/jet-1", drawn),
            item!(2, "projectiles/dock-1", drawn),
            item!(3, "projectiles/balcony-1", drawn),
            item!(3, "projectile-1", drawn),
        ],
    },
    Drawer {
        topic: "Newton's second law",
        items: &[
            item!(1, "newton/lift-1", drawn),
            item!(2, "newton/tug-1", drawn),
            item!(2, "newton/tins-1", drawn),
            item!(2, "ropes-1", drawn),
            item!(2, "newton/tray-1", drawn),
            item!(1, "newton/chute-1", drawn),
            item!(3, "incline-1", drawn),
            item!(3, "newton/boxes-1", drawn),
            item!(3, "newton/toolbox-1", drawn),
            item!(1, "newton/bend-1"),
            item!(2, "newton/velodrome-1", drawn),
        ],
    },
    Drawer {
        topic: "statics",
        items: &[
            item!(2, "statics/sign-1", drawn),
            item!(1, "statics/rope-1", drawn),
            item!(3, "statics/ladder-1", drawn),
            item!(2, "statics/plank-1", drawn),
            item!(2, "statics/mobile-1", drawn),
            item!(1, "statics/seesaw-1", drawn),
            item!(2, "statics/dogs-1", drawn),
        ],
    },
    Drawer {
        topic: "work and energy",
        items: &[
            item!(1, "energy/launcher-1", drawn),
            item!(2, "energy/sledge-1", drawn),
            item!(1, "energy/pump-1"),
        ],
    },
    Drawer {
        topic: "momentum",
        items: &[
            item!(1, "momentum/wagons-1", drawn),
            item!(2, "momentum/gliders-1", drawn),
            item!(2, "momentum/release-1", drawn),
            item!(2, "momentum/ice-1", drawn),
            item!(2, "collision-1", drawn),
        ],
    },
    Drawer {
        topic: "motion in a circle",
        items: &[
            item!(2, "circular/bucket-1", drawn),
            item!(2, "circular/swings-1", drawn),
        ],
    },
    Drawer {
        topic: "rotation",
        items: &[
            item!(3, "rotation/ramp-drum-1", drawn),
            item!(3, "pulley-disc-1", drawn),
            item!(3, "rotation/drum-1", drawn),
            item!(3, "rotation/ball-1", drawn),
            item!(2, "rotation/flywheel-1", drawn),
            item!(3, "rotation/barrier-1", drawn),
        ],
    },
    Drawer {
        topic: "oscillation",
        items: &[
            item!(1, "oscillation/pendulum-1"),
            item!(2, "oscillation/scale-1", drawn),
        ],
    },
    Drawer {
        topic: "waves",
        items: &[item!(1, "waves/line-1")],
    },
    Drawer {
        topic: "fluids",
        items: &[
            item!(1, "fluids/raft-1", drawn),
            item!(1, "fluids/jack-1", drawn),
        ],
    },
    Drawer {
        topic: "circuits",
        items: &[
            item!(2, "circuits/lamps-1", drawn),
            item!(2, "circuits/battery-1", drawn),
        ],
    },
    Drawer {
        topic: "heat",
        items: &[
            item!(1, "heat/bath-1"),
            item!(2, "heat/iron-1"),
            item!(1, "heat/kettle-1"),
        ],
    },
];
