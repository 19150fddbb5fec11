//! For now nothing.
use super::arrange::Arrangement;
use super::task::Task;
use super::wishes::Unit;
pub(super) fn improve(_task: &Task, _units: &[Unit], _named: bool, _arrangement: &mut Arrangement) {}
