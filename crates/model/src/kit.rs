//! The bag of hurdles and the floor.

use serde::{Deserialize, Serialize};

/// Hurdles of one height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HurdleStock {
    /// Height of the bar in centimetres; 0 is a line on the floor.
    pub height_cm: f64,
    /// How many there are.
    pub count: u32,
}

/// Everything in the bag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kit {
    /// Hurdles by height. Floor lines need not be listed: chalk or tape is always to be had.
    pub hurdles: Vec<HurdleStock>,
    /// Width of a hurdle in metres.
    pub hurdle_width_m: f64,
    /// Depth of a hurdle's base along the lane, in metres.
    pub base_depth_m: f64,
    /// Length of the teacher's shoe in metres, when marks are to be paced out in shoe lengths.
    pub shoe_length_m: Option<f64>,
}

impl Default for Kit {
    /// Twenty-four hurdles of 30 cm, 60 cm wide with a 30 cm base (common practice, no source).
    fn default() -> Self {
        Self {
            hurdles: vec![HurdleStock { height_cm: 30.0, count: 24 }],
            hurdle_width_m: 0.6,
            base_depth_m: 0.3,
            shoe_length_m: None,
        }
    }
}

impl Kit {
    /// Returns the number of hurdles in the bag, all heights together.
    pub fn hurdle_count(&self) -> u32 {
        self.hurdles.iter().map(|stock| stock.count).sum()
    }
}

/// What the floor is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Surface {
    /// Sports hall floor.
    #[default]
    Hall,
    /// Running track or artificial turf.
    Track,
    /// Dry grass.
    Grass,
    /// Wet grass or a dusty floor: longer stopping room.
    Slippery,
    /// Asphalt or concrete: walking drills only.
    Hard,
}

/// The floor: a rectangle, running along its length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Space {
    /// Length along the running direction, in metres.
    pub length_m: f64,
    /// Width across the lanes, in metres.
    pub width_m: f64,
    /// What the floor is made of.
    pub surface: Surface,
    /// A wall, fence or stage behind the start.
    pub wall_start: bool,
    /// A wall, fence or stage beyond the finish.
    pub wall_finish: bool,
    /// A wall on the left, seen in running direction.
    pub wall_left: bool,
    /// A wall on the right, seen in running direction.
    pub wall_right: bool,
}

impl Space {
    /// Returns a hall of the given size with walls all round: the careful assumption when nothing else is said.
    pub fn hall(length_m: f64, width_m: f64) -> Self {
        Self {
            length_m,
            width_m,
            surface: Surface::Hall,
            wall_start: true,
            wall_finish: true,
            wall_left: true,
            wall_right: true,
        }
    }
}
