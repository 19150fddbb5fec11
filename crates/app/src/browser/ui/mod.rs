//! The screens.

mod bouts;
mod child;
mod class;
mod conditions;
mod devices;
mod erase;
mod findings;
mod heard_steps;
mod icons;
mod import;
mod keep;
mod kit;
mod lanes;
mod lesson;
mod lesson_plan;
mod lesson_unit;
mod line_up;
mod measure;
mod paper_runs;
mod papers;
mod parts;
mod password;
mod pressure;
mod shell;
mod sound;
mod stand;
mod sweep;
mod timing;
mod today;
mod trackside;

pub use shell::Shell;
