//! The one sentence after a run: what happened, and what to do next.

use lanewright_model::run::{HurdleSet, Run};
use lanewright_model::words::Message;

use super::{Action, AfterCorrection, ClassModel, Options};

/// Returns the sentence after `run`, which is the latest of its runner at its drill among the model's runs.
///
/// Whether the line broke comes from the chain with the class's parameters and this child's ability, not from a
/// count: two falls side by side may be chance in a child who knocks a lot, and are a broken line in one who does
/// not. The words name the part of the lane and one cue.
pub fn after_run(model: &ClassModel, run: &Run, options: &Options) -> Message {
    let decision =
        model.decisions_of(&run.runner, options).into_iter().find(|decision| decision.drill == run.drill);
    let drill = model.ladder().get(&run.drill);
    let key = drill.and_then(|drill| drill.key_fault.as_deref());
    let cue_of = |fault: &str| Message::new(&format!("fault-{fault}-cue"));
    if let Some(fault) = run.faults.iter().find(|fault| Some(fault.as_str()) == key).or(run.faults.first()) {
        return Message::new("after-fault")
            .with("fault", lanewright_model::Arg::Say(Box::new(Message::new(&format!("fault-{fault}")))))
            .with("cue", lanewright_model::Arg::Say(Box::new(cue_of(fault))));
    }
    let broken = model.broken_at(run);
    let cue = |message: Message| match drill {
        Some(drill) => message.with("cue", drill.cue_arg()),
        None => message.text("cue", ""),
    };
    let fell = run.knocked.count();
    if !broken.is_empty() {
        let again = decision
            .as_ref()
            .is_some_and(|decision| decision.after_correction == Some(AfterCorrection::NotBetter));
        if again {
            return Message::new("after-broke-again");
        }
        let middle = broken.iter().sum::<u32>() as f64 / broken.len() as f64 / f64::from(run.hurdles);
        let id = match middle {
            place if place <= 0.4 => "after-broke-start",
            place if place >= 0.65 => "after-broke-end",
            _ => "after-broke-middle",
        };
        return cue(Message::new(id));
    }
    let better = decision.as_ref().is_some_and(|decision| {
        decision.after_correction == Some(AfterCorrection::Better) && model.broke_before(run)
    });
    match (fell, decision.map(|decision| decision.action)) {
        (0, Some(Action::MoveOn)) => Message::new("after-moves-on"),
        (0, _) if better => Message::new("after-better-clean"),
        (_, _) if better => Message::new("after-better"),
        (_, Some(Action::StepBack)) => Message::new("after-steps-back"),
        (0, Some(Action::NotEnoughSeen)) => Message::new("after-clean-first"),
        (0, _) => Message::new("after-clean"),
        (1, _) => Message::new("after-single"),
        _ => Message::new("after-scattered"),
    }
}

impl ClassModel<'_> {
    /// Returns the hurdles at which this run's line was most probably broken, by the class's parameters and the
    /// child's own middle ability.
    pub fn broken_at(&self, run: &Run) -> Vec<u32> {
        let (mass, shift) = self.ability_of(&run.runner, &run.drill);
        let ability: f64 = mass.iter().zip(super::fit::abilities()).map(|(mass, t)| mass * t).sum();
        let chain = self.fit().parameters.chain(ability + shift);
        chain.broken_at(run.hurdles, run.knocked, run.down_before)
    }

    /// Returns whether the run before `run` of the same runner and drill was broken.
    fn broke_before(&self, run: &Run) -> bool {
        let before = self.runs_of(&run.runner, &run.drill).into_iter().rfind(|other| other.at < run.at);
        before.is_some_and(|before| {
            before.knocked != HurdleSet::default() && !self.broken_at(before).is_empty()
        })
    }
}
