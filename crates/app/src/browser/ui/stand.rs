//! Lanes that stand: written down with the first thing that is recorded, shown with the way to lay them anew.

use std::time::Duration;

use jiff::Timestamp;
use lanewright_model::record::{Body, SheetLane, StandingLanesBody};
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::parts::{app, t};
use super::trackside::{clock, midnight_ms};
use crate::browser::app::{App, LADDER};
use crate::browser::now_ms;
use crate::logic::devices::sheet_of;
use crate::logic::standing::{late_said, standing_next};
use crate::logic::trackside::lanes_now;

/// After a write that failed it is tried again after this time.
const AGAIN: Duration = Duration::from_secs(20);

/// Returns whether today's lanes stand.
pub fn stands(app: App) -> bool {
    app.class.with(|class| class.as_ref().is_some_and(|class| class.standing.is_some()))
}

/// Returns the lanes as today's plan would lay them; none without a plan.
fn planned(app: App) -> Vec<SheetLane> {
    let effort = app.class.with(|class| class.as_ref().map_or(0.6, |class| class.choice.effort));
    app.plan.with(|plan| match plan {
        Some(Ok(plan)) => sheet_of(&lanes_now(plan, &LADDER, effort), plan, app.today.get()).lanes,
        _ => Vec::new(),
    })
}

/// Writes down the lanes with the first thing of the day, and the place of everybody who comes late.
pub fn keep(app: App) {
    let busy = RwSignal::new(false);
    let next = Memo::new(move |_| {
        if app.helps.get() {
            return None;
        }
        let id = app.class_id.get()?;
        let (planned, on) = (planned(app), app.today.get());
        let next = app.class.with(|class| {
            app.plan.with(|plan| {
                let plan = plan.as_ref().and_then(|plan| plan.as_ref().ok());
                standing_next(class.as_ref()?, &planned, plan, midnight_ms(on), on)
            })
        });
        next.map(|(body, late)| (id, body, late))
    });
    Effect::new(move |_| {
        let Some((id, body, late)) = next.get() else { return };
        if busy.get() {
            return;
        }
        let Some(change) = untrack(|| app.change(&id, &Body::StandingLanes(body))) else { return };
        busy.set(true);
        spawn_local(async move {
            if !app.note(vec![change]).await {
                return set_timeout(move || busy.set(false), AGAIN);
            }
            busy.set(false);
            if let Some(said) = late_said(&late) {
                // What made the child run today is what an undo takes back.
                let undo = app.toast.with_untracked(|toast| toast.as_ref().is_some_and(|toast| toast.undo));
                app.tell(said, undo, false);
            }
        });
    });
}

/// Returns since when today's lanes stand, as a time of day.
pub fn stands_since(app: App) -> Option<String> {
    let since_ms = app.class.with(|class| Some(class.as_ref()?.standing.as_ref()?.since_ms))?;
    Some(clock(Timestamp::from_millisecond(since_ms).unwrap_or(Timestamp::UNIX_EPOCH)))
}

/// Returns lanes with the gaps of their main drills: `A 1.20 m · B 1.35 m`.
fn gaps_said(app: App, lanes: &[SheetLane]) -> String {
    let gap =
        |lane: &SheetLane| Some(format!("{} {}", lane.lane, app.show(Arg::GapM(lane.drills.first()?.gap_m))));
    lanes.iter().filter_map(gap).collect::<Vec<_>>().join(" · ")
}

/// Since when the lanes stand, and the way to lay them anew, with the gaps that they would have.
#[component]
pub fn StandLine() -> impl IntoView {
    let app = app();
    let standing =
        Memo::new(move |_| app.class.with(|class| class.as_ref().and_then(|class| class.standing.clone())));
    // Where the plan would lay them as they stand, and nobody else would run in them, there is nothing to lay anew.
    let anew = Memo::new(move |_| {
        let planned = planned(app);
        standing.with(|standing| {
            standing
                .as_ref()
                .filter(|standing| !planned.is_empty() && standing.lanes != planned)
                .map(|_| planned)
        })
    });
    let lay = move |_| {
        let (Some(lanes), Some(id)) = (anew.get_untracked(), app.class_id.get_untracked()) else { return };
        let on = app.today.get_untracked();
        let body = StandingLanesBody { on, since_ms: now_ms() as i64, lanes, unknown: Default::default() };
        let change = app.change(&id, &Body::StandingLanes(body));
        app.save(Message::new("stand-said-anew"), change.into_iter().collect());
    };
    move || {
        let standing = standing.get()?;
        let words = Message::new("stand-since")
            .text("time", stands_since(app)?)
            .text("lanes", gaps_said(app, &standing.lanes));
        Some(view! {
            <div class="stand-line" data-test="lanes-stand">
                <p>{app.say(&words)}</p>
                {move || anew.get().map(|lanes| {
                    let gaps = Message::new("stand-anew-lanes").text("lanes", gaps_said(app, &lanes));
                    view! {
                        <button type="button" class="btn" data-test="lay-anew" on:click=lay>
                            {t("stand-anew")}
                        </button>
                        <p class="soft" data-test="anew-lanes">{app.say(&gaps)}</p>
                    }
                })}
            </div>
        })
    }
}
