//! What the app decides without a browser: tested natively, used by the screens.

pub mod beside;
pub mod change;
pub mod clock;
pub mod devices;
pub mod entry;
pub mod erase;
pub mod heard;
pub mod jobs;
pub mod keep;
pub mod kept;
pub mod lanes_json;
pub mod lesson;
pub mod list;
pub mod pace;
pub mod phones;
pub mod pressure;
pub mod replica;
pub mod sound;
pub mod standing;
pub mod timing;
pub mod trackside;
pub mod turns;
pub mod undo;
