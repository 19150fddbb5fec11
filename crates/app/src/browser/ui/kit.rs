//! Kit and space: hurdles, floor, walls, and whether a stand-in falls easily.

use lanewright_model::kit::{HurdleStock, Surface};
use lanewright_model::record::{Body, KitBody, SpaceBody};
use lanewright_model::words::Units;
use lanewright_model::{Arg, Kit, Message, Space};
use lanewright_science::topple::{self, Finger, Object, Push, Topple, Verdict};
use leptos::prelude::*;

use super::icons::icon;
use super::parts::{Choice, app, notice, t, value_of};
use crate::browser::app::App;
use crate::logic::entry::{self, Bare, EntryError};

/// Sizes of floors that many schools have, in metres (common practice, no source): one tap instead of a tape.
const FLOORS: [(&str, f64, f64, Surface, bool); 4] = [
    ("app-floor-hall", 27.0, 15.0, Surface::Hall, true),
    ("app-floor-small-hall", 18.0, 9.0, Surface::Hall, true),
    ("app-floor-track", 60.0, 8.0, Surface::Track, false),
    ("app-floor-grass", 40.0, 20.0, Surface::Grass, false),
];

/// Heights that hurdles for children usually have, in centimetres (common practice, no source).
const HEIGHTS_CM: [f64; 4] = [30.0, 20.0, 15.0, 40.0];

/// The screen.
#[component]
pub fn KitScreen() -> impl IntoView {
    view! {
        <h1>{t("app-kit-title")}</h1>
        <div class="columns">
            <section class="card stack"><Hurdles/></section>
            <section class="card stack"><Floor/></section>
        </div>
        <section class="card"><StandIn/></section>
    }
}

fn save_kit(app: App, said: Message, edit: impl FnOnce(&mut Kit)) {
    let mut kit = untrack(|| app.kit());
    edit(&mut kit);
    let body = Body::Kit(KitBody { kit, gone: false, unknown: Default::default() });
    app.save(said, app.school_change(&body).into_iter().collect());
}

/// Returns what saves one length of the kit.
fn kit_length(app: App, edit: fn(&mut Kit, Option<f64>)) -> Callback<Option<f64>> {
    Callback::new(move |length| save_kit(app, Message::new("app-said-kit"), |kit| edit(kit, length)))
}

fn save_space(app: App, said: Message, space: Space) {
    let body = Body::Space(SpaceBody { space, gone: false, unknown: Default::default() });
    app.save(said, app.school_change(&body).into_iter().collect());
}

/// One length that is saved when the field is left.
#[component]
fn LengthField(
    label: &'static str,
    id: &'static str,
    bare: Bare,
    limits_m: (f64, f64),
    /// May be left empty.
    #[prop(optional)]
    optional: bool,
    #[prop(into)] length_m: Signal<Option<f64>>,
    #[prop(into)] save: Callback<Option<f64>>,
) -> impl IntoView {
    let app = app();
    let error = RwSignal::new(None::<EntryError>);
    let error_id = format!("{id}-error");
    let described = error_id.clone();
    let shown = move || {
        length_m.get().map(|length| entry::show_length(length, bare, app.units.get())).unwrap_or_default()
    };
    let hint = move || {
        app.get(match (bare, app.units.get()) {
            (_, Units::FeetInches) => "app-hint-ft",
            (Bare::Small, Units::Metric) => "app-hint-cm",
            (Bare::Large, Units::Metric) => "app-hint-m",
        })
    };
    let change = move |event: web_sys::Event| {
        let text = value_of(&event);
        if text.trim().is_empty() && optional {
            error.set(None);
            if length_m.get_untracked().is_some() {
                save.run(None);
            }
            return;
        }
        match entry::length_within_m(&text, bare, app.units.get_untracked(), limits_m.0, limits_m.1) {
            Ok(length) => {
                error.set(None);
                if length_m.get_untracked().is_none_or(|before| (before - length).abs() > 1e-6) {
                    save.run(Some(length));
                }
            }
            Err(message) => error.set(Some(message)),
        }
    };
    view! {
        <div class="field">
            <label for=id>
                <span class="label">{t(label)}</span>
                <span class="hint">{hint}</span>
            </label>
            <input
                id=id
                data-test=id
                type="text"
                inputmode="decimal"
                autocomplete="off"
                prop:value=shown
                on:change=change
                aria-invalid=move || error.with(|error| error.is_some()).to_string()
                aria-describedby=described
            />
            <p class="entry-error" id=error_id role="alert">
                {move || error.get().map(|message| app.say(&message))}
            </p>
        </div>
    }
}

/// A count with a button for one less and one for one more.
#[component]
pub fn Stepper(
    #[prop(into)] label: Signal<String>,
    test: String,
    #[prop(into)] value: Signal<u32>,
    #[prop(default = 0)] low: u32,
    #[prop(default = 200)] high: u32,
    #[prop(into)] change: Callback<u32>,
) -> impl IntoView {
    let id = test.clone();
    view! {
        <div class="stepper" role="group" aria-label=move || label.get()>
            <button
                type="button"
                class="step"
                data-test=format!("{test}-less")
                disabled=move || { value.get() <= low }
                on:click=move |_| change.run(value.get_untracked().saturating_sub(1).max(low))
            >
                <span aria-hidden="true">"−"</span>
                <span class="sr">{t("app-less")}</span>
            </button>
            <input
                data-test=id
                type="text"
                inputmode="numeric"
                aria-label=move || label.get()
                prop:value=move || value.get().to_string()
                on:change=move |event| {
                    let text = value_of(&event);
                    change.run(entry::count(&text, low, high).unwrap_or_else(|_| value.get_untracked()));
                }
            />
            <button
                type="button"
                class="step"
                data-test=format!("{test}-more")
                disabled=move || { value.get() >= high }
                on:click=move |_| change.run((value.get_untracked() + 1).min(high))
            >
                <span aria-hidden="true">"+"</span>
                <span class="sr">{t("app-more")}</span>
            </button>
        </div>
    }
}

#[component]
fn Hurdles() -> impl IntoView {
    let app = app();
    let kit = Memo::new(move |_| app.kit());
    let assumed = Memo::new(move |_| app.school.with(|school| school.kit.is_none()));
    let heights = move || kit.with(|kit| kit.hurdles.iter().map(|stock| stock.height_cm).collect::<Vec<_>>());
    let set_count = move |height_cm: f64, count: u32| {
        let said = Message::new("app-said-hurdles")
            .with("count", Arg::Count(count.into()))
            .with("height", Arg::HeightCm(height_cm));
        save_kit(app, said, |kit| {
            match kit.hurdles.iter_mut().find(|stock| stock.height_cm == height_cm) {
                Some(stock) => stock.count = count,
                None => kit.hurdles.push(HurdleStock { height_cm, count }),
            }
            kit.hurdles.sort_by(|a, b| b.height_cm.total_cmp(&a.height_cm));
        });
    };
    let row = move |height_cm: f64| {
        let count = Signal::derive(move || {
            kit.with(|kit| {
                kit.hurdles.iter().find(|stock| stock.height_cm == height_cm).map_or(0, |stock| stock.count)
            })
        });
        let label = Signal::derive(move || {
            app.say(&Message::new("app-hurdles-of").with("height", Arg::HeightCm(height_cm)))
        });
        view! {
            <div class="stock">
                <span class="stock-name"><b class="number">{move || app.show(Arg::HeightCm(height_cm))}</b></span>
                <Stepper
                    label
                    test=format!("hurdles-{height_cm:.0}")
                    value=count
                    change=move |count| set_count(height_cm, count)
                />
            </div>
        }
    };
    let more = move || {
        let there = heights();
        HEIGHTS_CM
            .into_iter()
            .filter(|height| !there.contains(height))
            .map(|height_cm| {
                view! {
                    <button
                        type="button"
                        class="btn small"
                        data-test=format!("add-height-{height_cm:.0}")
                        on:click=move |_| set_count(height_cm, 8)
                    >
                        {icon("add")}
                        <span>{move || app.show(Arg::HeightCm(height_cm))}</span>
                    </button>
                }
            })
            .collect_view()
    };
    view! {
        <h2>{t("app-hurdles-title")}</h2>
        {move || assumed.get().then(|| notice("note", Message::new("app-kit-assumed")))}
        <For each=heights key=|height| { (height * 10.0) as i64 } let:height>{row(height)}</For>
        <p class="lead" data-test="hurdle-total">{move || {
            app.say(&Message::new("app-hurdle-total").with("count", Arg::Count(kit.with(Kit::hurdle_count).into())))
        }}</p>
        <div class="row">{more}</div>
        <p class="soft">{t("app-lines-free")}</p>
        <div class="pair">
            <LengthField
                label="app-hurdle-width"
                id="hurdle-width"
                bare=Bare::Small
                limits_m=(0.1, 3.0)
                length_m=Signal::derive(move || Some(kit.with(|kit| kit.hurdle_width_m)))
                save=kit_length(app, |kit, length| kit.hurdle_width_m = length.unwrap_or(kit.hurdle_width_m))
            />
            <LengthField
                label="app-base-depth"
                id="base-depth"
                bare=Bare::Small
                limits_m=(0.0, 1.0)
                length_m=Signal::derive(move || Some(kit.with(|kit| kit.base_depth_m)))
                save=kit_length(app, |kit, length| kit.base_depth_m = length.unwrap_or(kit.base_depth_m))
            />
        </div>
        <LengthField
            label="app-shoe-length"
            id="shoe-length"
            bare=Bare::Small
            limits_m=(0.15, 0.4)
            optional=true
            length_m=Signal::derive(move || kit.with(|kit| kit.shoe_length_m))
            save=kit_length(app, |kit, length| kit.shoe_length_m = length)
        />
        <p class="soft">{t("app-shoe-why")}</p>
    }
}

#[component]
fn Floor() -> impl IntoView {
    let app = app();
    let space = Memo::new(move |_| app.space());
    let is_there = Memo::new(move |_| space.with(Option::is_some));
    let save = move |edit: &dyn Fn(&mut Space)| {
        let mut changed = space.get_untracked().unwrap_or_else(|| Space::hall(27.0, 15.0));
        edit(&mut changed);
        let said = Message::new("app-said-floor")
            .with("length", Arg::MeasuredM(changed.length_m))
            .with("width", Arg::MeasuredM(changed.width_m));
        save_space(app, said, changed);
    };
    let presets = FLOORS
        .into_iter()
        .map(|(words, length_m, width_m, surface, walls)| {
            let size = move || {
                app.say(
                    &Message::new("app-floor-size")
                        .with("length", Arg::MeasuredM(length_m))
                        .with("width", Arg::MeasuredM(width_m)),
                )
            };
            view! {
                <button
                    type="button"
                    class="choice tall"
                    data-test=words.trim_start_matches("app-")
                    aria-pressed=move || {
                        space.with(|space| space.as_ref().is_some_and(|space| {
                            space.length_m == length_m && space.width_m == width_m && space.surface == surface
                        })).to_string()
                    }
                    on:click=move |_| save(&|space| {
                        let walls = Space {
                            wall_start: walls,
                            wall_finish: walls,
                            wall_left: walls,
                            wall_right: walls,
                            ..Space::hall(length_m, width_m)
                        };
                        *space = Space { surface, ..walls };
                    })
                >
                    <b>{t(words)}</b>
                    <span>{size}</span>
                </button>
            }
        })
        .collect_view();
    let wall = move |side: &'static str,
                     words: &'static str,
                     read: fn(&Space) -> bool,
                     write: fn(&mut Space, bool)| {
        let is_wall = move || space.with(|space| space.as_ref().is_some_and(read));
        view! {
            <button
                type="button"
                class=move || format!("wall {side} {}", if is_wall() { "closed" } else { "open" })
                data-test=format!("wall-{side}")
                aria-pressed=move || is_wall().to_string()
                on:click=move |_| save(&|space| { let now = read(space); write(space, !now); })
            >
                <span>{t(words)}</span>
                <b>{move || app.get(if is_wall() { "app-wall-closed" } else { "app-wall-open" })}</b>
            </button>
        }
    };
    let length = Signal::derive(move || space.with(|space| space.as_ref().map(|space| space.length_m)));
    let width = Signal::derive(move || space.with(|space| space.as_ref().map(|space| space.width_m)));
    view! {
        <h2>{t("app-floor-title")}</h2>
        {move || (!is_there.get()).then(|| notice("note", Message::new("app-floor-missing")))}
        <div class="presets" role="group" aria-label=t("app-floor-presets")>{presets}</div>
        <div class="pair">
            <LengthField
                label="app-floor-length"
                id="floor-length"
                bare=Bare::Large
                limits_m=(1.0, 500.0)
                length_m=length
                save=Callback::new(move |length: Option<f64>| {
                    save(&|space| space.length_m = length.unwrap_or(space.length_m))
                })
            />
            <LengthField
                label="app-floor-width"
                id="floor-width"
                bare=Bare::Large
                limits_m=(1.0, 500.0)
                length_m=width
                save=Callback::new(move |length: Option<f64>| {
                    save(&|space| space.width_m = length.unwrap_or(space.width_m))
                })
            />
        </div>
        {move || is_there.get().then(|| view! {
            <div class="floor-picture" role="group" aria-label=t("app-walls")>
                {wall("finish", "app-wall-finish", |s| s.wall_finish, |s, on| s.wall_finish = on)}
                {wall("left", "app-wall-left", |s| s.wall_left, |s, on| s.wall_left = on)}
                <p class="floor-inside">
                    <span class="arrow" aria-hidden="true">"↑"</span>
                    <span>{t("app-floor-direction")}</span>
                </p>
                {wall("right", "app-wall-right", |s| s.wall_right, |s, on| s.wall_right = on)}
                {wall("start", "app-wall-start", |s| s.wall_start, |s, on| s.wall_start = on)}
            </div>
            <Choice
                label="app-surface"
                test="surface"
                options=vec![
                    (Surface::Hall, "app-surface-hall", "hall"),
                    (Surface::Track, "app-surface-track", "track"),
                    (Surface::Grass, "app-surface-grass", "grass"),
                    (Surface::Slippery, "app-surface-slippery", "slippery"),
                    (Surface::Hard, "app-surface-hard", "hard"),
                ]
                chosen=Signal::derive(move || {
                    space.with(|space| space.as_ref().map_or(Surface::Hall, |space| space.surface))
                })
                choose=move |surface| save(&|space| space.surface = surface)
            />
        })}
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum HowTried {
    Finger(Finger),
    Newtons,
    Grams,
}

/// Does a stand-in fall easily: first what a teacher can try, the figures behind it on request.
#[component]
fn StandIn() -> impl IntoView {
    let app = app();
    let tried = RwSignal::new(None::<HowTried>);
    let reading = RwSignal::new(String::new());
    let mass = RwSignal::new(String::new());
    let height = RwSignal::new(String::new());
    let depth = RwSignal::new(String::new());
    let centre = RwSignal::new(String::new());
    let number = |text: RwSignal<String>| {
        let text = text.get();
        if text.trim().is_empty() { Ok(None) } else { entry::number(&text).map(Some) }
    };
    let length = move |text: RwSignal<String>| {
        let text = text.get();
        if text.trim().is_empty() {
            Ok(None)
        } else {
            entry::length_m(&text, Bare::Small, app.units.get()).map(Some)
        }
    };
    let answer = move || -> Option<Result<Topple, EntryError>> {
        let tried = tried.get()?;
        let compute = || {
            let push = match tried {
                HowTried::Finger(finger) => Push::OneFinger(finger),
                HowTried::Newtons | HowTried::Grams => match number(reading)? {
                    None => return Err(Message::new("app-stand-in-reading")),
                    Some(value) if tried == HowTried::Newtons => Push::Newtons(value),
                    Some(value) => Push::Grams(value),
                },
            };
            let mass_kg = number(mass)?;
            let (height_m, depth_m, centre_m) = (length(height)?, length(depth)?, length(centre)?);
            let shape = match (mass_kg, height_m, depth_m) {
                (Some(mass_kg), Some(height_m), Some(depth_m)) => Some(Object {
                    mass_kg,
                    height_m,
                    // The far edge lies half a depth from the middle of an even thing.
                    half_depth_m: depth_m / 2.0,
                    centre_height_m: centre_m.unwrap_or(height_m / 2.0),
                    friction: FRICTION,
                }),
                _ => None,
            };
            Ok(topple::from_push(push, mass_kg, shape.as_ref()))
        };
        Some(compute())
    };
    let options: Vec<(Option<HowTried>, &'static str, &'static str)> = vec![
        (Some(HowTried::Finger(Finger::Easily)), "app-push-easily", "easily"),
        (Some(HowTried::Finger(Finger::NeedsHand)), "app-push-hand", "hand"),
        (Some(HowTried::Finger(Finger::Hardly)), "app-push-hardly", "hardly"),
        (Some(HowTried::Newtons), "app-push-newtons", "newtons"),
        (Some(HowTried::Grams), "app-push-grams", "grams"),
    ];
    let field = move |label: &'static str, id: &'static str, value: RwSignal<String>, hint: &'static str| {
        view! {
            <div class="field">
                <label for=id>
                    <span class="label">{t(label)}</span>
                    <span class="hint">{t(hint)}</span>
                </label>
                <input
                    id=id
                    data-test=id
                    type="text"
                    inputmode="decimal"
                    autocomplete="off"
                    prop:value=move || value.get()
                    on:input=move |event| value.set(value_of(&event))
                />
            </div>
        }
    };
    let length_hint = if app.units.get_untracked() == Units::Metric { "app-hint-cm" } else { "app-hint-ft" };
    view! {
        <details data-test="stand-in">
            <summary><h2>{t("app-stand-in-title")}</h2></summary>
            <div class="stack">
                <p>{t("app-stand-in-how")}</p>
                <Choice
                    label="app-push-label"
                    test="push"
                    options
                    chosen=tried
                    choose=move |how| tried.set(how)
                />
                {move || matches!(tried.get(), Some(HowTried::Newtons | HowTried::Grams)).then(|| {
                    let hint = if tried.get() == Some(HowTried::Grams) { "app-hint-grams" } else { "app-hint-newtons" };
                    field("app-stand-in-scale", "stand-in-scale", reading, hint)
                })}
                {field("app-stand-in-mass", "stand-in-mass", mass, "app-hint-kg")}
                <details>
                    <summary>{t("app-stand-in-figures")}</summary>
                    <div class="stack">
                        <p class="soft">{t("app-stand-in-shape-why")}</p>
                        <div class="pair">
                            {field("app-stand-in-height", "stand-in-height", height, length_hint)}
                            {field("app-stand-in-depth", "stand-in-depth", depth, length_hint)}
                        </div>
                        {field("app-stand-in-centre", "stand-in-centre", centre, length_hint)}
                    </div>
                </details>
                <div role="status" data-test="stand-in-answer">
                    {move || answer().map(|answer| match answer {
                        Err(message) => notice("bad", message),
                        Ok(topple) => verdict(app, &topple),
                    })}
                </div>
            </div>
        </details>
    }
}

/// Friction between a stand-in and a floor when nobody measured it (engineering assumption: plastic or wood on a
/// hall floor).
const FRICTION: f64 = 0.4;

fn verdict(app: App, topple: &Topple) -> AnyView {
    let (kind, id) = match topple.verdict {
        Verdict::FallsEasily => ("good", "topple-falls-easily"),
        Verdict::TooFirm => ("bad", "topple-too-firm"),
        Verdict::NotEnoughKnown => ("warn", "topple-not-enough-known"),
    };
    let list = |messages: &[Message]| {
        messages.iter().cloned().map(|message| view! { <li>{move || app.say(&message)}</li> }).collect_view()
    };
    let figure = |id: &str, value: Option<Arg>| {
        value.map(|value| {
            let message = Message::new(id).with("value", value);
            view! { <li>{move || app.say(&message)}</li> }
        })
    };
    let figures = view! {
        {figure("app-figure-tip", topple.tip_force_n.map(Arg::ForceN))}
        {figure("app-figure-slide", topple.slide_force_n.map(Arg::ForceN))}
        {figure("app-figure-energy", topple.tip_energy_j.map(Arg::Number))}
        {figure("app-figure-mass", topple.effective_mass_kg.map(Arg::Number))}
    };
    view! {
        {notice(kind, Message::new(id))}
        <ul class="plain">{list(&topple.why)}</ul>
        <ul class="plain soft">{figures}</ul>
        <h3>{t("app-cautions")}</h3>
        <ul class="plain">{list(&topple.cautions)}</ul>
    }
    .into_any()
}
