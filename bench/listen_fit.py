"""Fits the tables in crates/listen/data. Needs the packages of requirements.txt, and recordings with their truth.

    cargo build --release -p lanewright-listen --example fit_traits
    python bench/listen_fit.py RECORDINGS WORK

RECORDINGS holds NAME.flac and NAME.json each: {"contacts": [{"t_s": ..}], "knocks": [..], "brakes": [..],
"set": "composed", "kind": .., "surface": .., "background": ..}. They stay where they are; WORK gets samples, traits and
tables; the events, plain and by folds, lie in WORK/all and WORK/folds for a scorer. Half an hour on two busy cores.

Each recording goes in as it is and in several copies: other speed, tilt, equaliser, sometimes noise (14 copies where nobody
runs, five else). Folds leave out whole sources: recordings of one surface, or without runners of one background, stay
together, their copies with them. Tables are additive log-odds, a broken line a trait with knots at quantiles, ridge logistic
regression; its strength was chosen by the folds.

Whether somebody runs at all is also asked of 120 takes of patter that are made here: short sounds alike, 2.5 to 60 a second
at random times, as of hands, drops or many feet. One such sound is like a contact, so they have no part in the other tables.
"""

import glob
import json
import os
import shutil
import subprocess
import sys

import numpy as np
import soundfile
from scipy.signal import fftconvolve, resample
from sklearn.linear_model import LogisticRegression

RECORDINGS, WORK = sys.argv[1], sys.argv[2]
FOLDS, SEED = 6, 11
rng = np.random.default_rng(SEED)
TRUTH = {}
KNOCK = (
    "template nearest level_chain decay_chain late_chain rise_chain centroid_chain novelty_chain tonality near_before "
    "before near_after high_share spread_bands fine_jump level_rel"
).split()
BRAKE = "level_chain decay_chain late_chain".split()
WHOLE = "log_evidence apart contrast".split()
# Nine takes of ten hold a run: a coach records one on purpose. Engineering assumption.
RUNS = 0.9
PATTER = 120


def path(*parts):
    return os.path.join(WORK, *parts)


def coloured(samples, rate):
    """Another microphone, another room for tone."""
    spectrum = np.fft.rfft(samples)
    hz = np.fft.rfftfreq(len(samples), 1 / rate) + 1
    gain = rng.uniform(-2.5, 2.5) * np.log2(hz / 1000).clip(-4, 4)
    for _ in range(2):
        centre, width = np.exp(rng.uniform(np.log(150), np.log(6000))), rng.uniform(0.4, 1.2)
        gain += rng.uniform(-6, 6) * np.exp(-0.5 * (np.log2(hz / centre) / width) ** 2)
    if rng.random() < 0.3:
        gain -= 40 * (hz > rng.uniform(6000, 12000))
    return np.fft.irfft(spectrum * 10 ** (gain / 20), len(samples))


def noise(count, rate):
    spectrum = np.fft.rfft(rng.standard_normal(count))
    hz = np.fft.rfftfreq(count, 1 / rate) + 20
    return np.fft.irfft(spectrum * hz ** -[0, 0.5, 1][rng.choice(3)], count)


def copies():
    """Writes samples and truth of all recordings and their copies."""
    for folder in ("samples", "all", "folds", "tables", "patter"):
        shutil.rmtree(path(folder), ignore_errors=True)
        os.makedirs(path(folder))
    files = sorted(glob.glob(os.path.join(RECORDINGS, "*.flac")))
    names = [os.path.basename(file)[:-5] for file in files]
    given = {name: json.load(open(os.path.join(RECORDINGS, name + ".json"))) for name in names}
    quiet = [file for name, file in zip(names, files) if given[name]["kind"] == "negative"]
    for name, file in zip(names, files):
        samples, rate = soundfile.read(file, always_2d=True)
        samples, truth = samples.mean(1), given[name]
        samples.astype("<f4").tofile(path("samples", f"{name}.{rate}.f32"))
        TRUTH[name] = {**truth, "base": name}
        for version in range(5 if truth["contacts"] else 14):
            made = coloured(resample(samples, int(len(samples) / np.exp(rng.uniform(np.log(0.8), np.log(1.25))))), rate)
            slower = len(samples) / len(made)
            made *= rng.uniform(0.1, 0.9) / (np.abs(made).max() + 1e-9)
            choice = rng.random()
            if choice < 0.45:
                if choice < 0.25:
                    other = noise(len(made), rate)
                else:
                    other, other_rate = soundfile.read(quiet[rng.integers(len(quiet))], always_2d=True)
                    other = resample(other.mean(1), int(len(other) * rate / other_rate))
                    other = coloured(np.resize(other, len(made)), rate)
                level = np.sqrt(np.mean(made**2) / (np.mean(other**2) + 1e-12))
                made = made + other * level * 10 ** (-rng.uniform(0, 18) / 20)
            made /= max(1, np.abs(made).max())
            made.astype("<f4").tofile(path("samples", f"{name}v{version}.{rate}.f32"))
            moved = {**truth, "base": name}
            for kind in ("contacts", "knocks", "brakes"):
                moved[kind] = [
                    {key: value / slower if key in ("t_s", "second_t_s") and value else value for key, value in e.items()}
                    for e in truth[kind]
                ]
            TRUTH[f"{name}v{version}"] = moved


def short_sounds(rate):
    """A few kinds of short sounds, each sound a little other than the next."""
    kinds = []
    count = int(0.25 * rate)
    t, hz = np.arange(count) / rate, np.fft.rfftfreq(count, 1 / rate) + 1
    for _ in range(rng.integers(1, 5)):
        decay, rise = np.exp(rng.uniform(np.log(0.006), np.log(0.08))), np.exp(rng.uniform(np.log(5e-4), np.log(0.012)))
        envelope = (1 - np.exp(-t / rise)) * np.exp(-t / decay)
        kinds.append((envelope, np.exp(rng.uniform(np.log(200), np.log(4500))), rng.uniform(0.5, 2)))
    vary = rng.uniform(0.05, 0.6)
    for _ in range(40):
        envelope, centre, width = kinds[rng.integers(len(kinds))]
        centre = centre * np.exp(vary * rng.standard_normal())
        gain = np.exp(-0.5 * (np.log2(hz / centre) / width) ** 2)
        sound = np.fft.irfft(np.fft.rfft(rng.standard_normal(count)) * gain, count) * envelope
        yield sound / np.sqrt(np.mean(sound**2))


def patter():
    """Short sounds at random times, over noise, sometimes swelling, sometimes in a room."""
    rate = 44100
    for take in range(PATTER):
        count = int(rng.uniform(5, 8) * rate)
        made, sounds = np.zeros(count), list(short_sounds(rate))
        spread = rng.uniform(1, 6)
        for at in rng.integers(0, count, rng.poisson(np.exp(rng.uniform(np.log(2.5), np.log(60))) * count / rate)):
            sound = sounds[rng.integers(len(sounds))][: count - at]
            made[at : at + len(sound)] += sound * 10 ** (spread * rng.standard_normal() / 20)
        if rng.random() < 0.4:
            turns = rng.uniform(0.05, 0.4) * np.arange(count) / rate + rng.random()
            made *= 1 + 0.8 * np.sin(2 * np.pi * turns)
        if rng.random() < 0.5:
            length = int(rng.uniform(0.1, 0.8) * rate)
            room = rng.standard_normal(length) * np.exp(-6.9 * np.arange(length) / length)
            room *= rng.uniform(0.2, 0.8) / np.sqrt((room**2).sum())
            room[0] += 1
            made = fftconvolve(made, room)[:count]
        level = np.sqrt(np.mean(made**2) + 1e-12)
        other = noise(count, rate)
        made = made / level + other / np.sqrt(np.mean(other**2)) * 10 ** (-rng.uniform(0, 30) / 20)
        made = coloured(made, rate)
        made *= rng.uniform(0.1, 0.9) / np.abs(made).max()
        made.astype("<f4").tofile(path("patter", f"patter{take}.{rate}.f32"))


def folds():
    group = {name: t["surface"] or f"none_{t['background']}" for name, t in TRUTH.items()}
    groups = sorted(set(group.values()))
    np.random.default_rng(5).shuffle(groups)
    which = {name: groups.index(group[name]) % FOLDS for name in TRUTH}
    which.update({f"patter{take}": take % FOLDS for take in range(PATTER)})
    json.dump(which, open(path("tables", "folds.json"), "w"))
    return which


def run(mode, samples="samples", more="traits"):
    target = os.environ.get("CARGO_TARGET_DIR", "target")
    program = os.path.join(target, "release", "examples", "fit_traits")
    subprocess.run([program, path(samples), path(mode), path("tables"), mode, more], check=True)


def f_measure(truth, heard, window=0.05):
    i = j = hits = 0
    truth, heard = sorted(truth), sorted(heard)
    while i < len(truth) and j < len(heard):
        if abs(heard[j] - truth[i]) <= window:
            i, j, hits = i + 1, j + 1, hits + 1
        elif heard[j] < truth[i]:
            j += 1
        else:
            i += 1
    return 2 * hits / max(len(truth) + len(heard), 1)


def times(events):
    return [event["t_s"] for event in events]


def rows(look):
    for file in sorted(glob.glob(path("folds", f"*.{look}.csv"))):
        name = os.path.basename(file).split(".")[0]
        names = open(file).readline().strip().split(",")[1:]
        matrix = np.loadtxt(file, delimiter=",", skiprows=1, ndmin=2)
        if matrix.size:
            yield name, names, matrix[:, 0], matrix[:, 1:]


def contact_rows():
    for name, names, at, traits in rows("first"):
        is_one, counts = np.zeros(len(at)), np.ones(len(at), bool)
        for t in times(TRUTH[name]["contacts"]):
            late = at - t
            near = np.where((late > -0.05) & (late < 0.07))[0]
            if len(near):
                # Other candidates of the same contact say nothing.
                counts[near] = is_one[near] > 0
                best = near[np.argmin(abs(late[near] - 0.001))]
                is_one[best], counts[best] = 1, True
        yield name, names, traits[counts], is_one[counts]


def second_rows(kind):
    for name, names, at, traits in rows("second"):
        truth = TRUTH[name]
        heard = json.load(open(path("folds", name + ".json"))).get("all", [])
        if truth["set"] != "composed" or f_measure(times(truth["contacts"]), times(heard)) <= 0.8:
            continue
        member = traits[:, names.index("member")] > 0.5
        is_one, counts = np.zeros(len(at)), member.copy() if kind == "brake" else np.ones(len(at), bool)
        if kind == "brake":
            for t in times(truth["brakes"]):
                near = np.where((abs(at - t) < 0.06) & member)[0]
                if len(near):
                    is_one[near[np.argmin(abs(at[near] - t))]] = 1
        else:
            for knock in truth["knocks"]:
                late = at - knock["t_s"]
                near = np.where(abs(late) < 0.05)[0]
                counts[near] = False
                counts[(late > 0.05) & (late < 0.5) & ~member] = False
                if len(near):
                    best = near[np.argmin(abs(late[near]))]
                    is_one[best], counts[best] = 1, True
        keep = [names.index(trait) for trait in (KNOCK if kind == "knock" else BRAKE)]
        yield name, [names[k] for k in keep], traits[counts][:, keep], is_one[counts]


def whole_rows():
    nobody = {"contacts": [], "set": "composed"}
    for name in [*TRUTH, *(f"patter{take}" for take in range(PATTER))]:
        truth = TRUTH.get(name, nobody)
        told = json.load(open(path("folds", name + ".json")))
        # Fewer than five contacts are no run in any case.
        if len(told.get("all", [])) >= 5:
            score = f_measure(times(truth["contacts"]), times(told["all"])) if truth["contacts"] else 0
            if truth["set"] == "composed" or score > 0.8:
                yield name, WHOLE, np.array([told["whole"]]), np.array([float(score > 0.6)])


def weigh_whole(names, is_one):
    """Runs to others as RUNS says, and among the others patter as much as recordings."""
    made = np.array([name.startswith("patter") for name in names])
    others = is_one.sum() * (1 - RUNS) / RUNS
    weights = np.ones(len(is_one))
    for which in (made, ~made & (is_one == 0)):
        weights[which] = others / 2 / which.sum()
    return weights


def fit(look, given, which, knots, strength, weigh=None):
    """`knots`: how many, for all traits or for each."""
    given = list(given)
    rows_of = np.concatenate([[name] * len(y) for name, _, _, y in given])
    names = given[0][1]
    fold = np.concatenate([[which[name]] * len(y) for name, _, _, y in given])
    traits = np.vstack([x for _, _, x, _ in given])
    is_one = np.concatenate([y for _, _, _, y in given])
    print(f"{look}: {len(is_one)} rows, {int(is_one.sum())} of them yes")
    for left_out in [None, *range(FOLDS)]:
        use = fold != left_out
        x, y = traits[use], is_one[use]
        counts = [knots] * len(names) if isinstance(knots, int) else knots
        places = [np.unique(np.quantile(x[:, k], np.linspace(0.02, 0.98, count))) for k, count in enumerate(counts)]
        hats = [np.interp(x[:, k], p, np.eye(len(p))[j]) for k, p in enumerate(places) for j in range(len(p))]
        basis = np.array(hats).T
        mean, spread = basis.mean(0), basis.std(0) + 1e-9
        counted = weigh(rows_of[use], y) if weigh else None
        # The same optimum as other solvers, sooner.
        ridge = LogisticRegression(C=strength, max_iter=300, solver="newton-cholesky", tol=1e-6)
        fitted = ridge.fit((basis - mean) / spread, y, sample_weight=counted)
        weights = fitted.coef_[0] / spread
        constant = fitted.intercept_[0] - (weights * mean).sum()
        lines, at = [], 0
        for k, p in enumerate(places):
            values = weights[at : at + len(p)]
            at += len(p)
            middle = np.interp(x[:, k], p, values).mean()
            constant += middle
            pairs = ",".join(f"{knot:.4g}:{value - middle:.4f}" for knot, value in zip(p, values))
            lines.append(f"{names[k]},{pairs}\n")
        name = "all" if left_out is None else f"f{left_out}"
        with open(path("tables", f"{look}-{name}.csv"), "w") as file:
            file.write(f"constant,{constant:.4f}\n" + "".join(lines))


copies()
rng = np.random.default_rng(SEED + 1)
patter()
which = folds()
run("folds")
fit("contact", contact_rows(), which, 5, 0.03)
run("folds")
fit("knock", second_rows("knock"), which, 3, 0.1)
fit("brake", second_rows("brake"), which, 2, 0.1)
run("folds")
run("folds", "patter", "events")
fit("run", whole_rows(), which, (2, 3, 3), 1.0, weigh_whole)
run("folds", more="turns")
run("all", more="turns")
HEADS = {
    "contact": "Is a candidate a contact? Log-odds by its own traits.",
    "knock": "Is a candidate a knock? Log-odds by how it compares with the chain of contacts.",
    "brake": "Is a contact a heavy stop? Log-odds by how it compares with the chain of contacts.",
    "run": "Does somebody run here? Log-odds by the chain as a whole.",
}
for look, head in HEADS.items():
    with open(os.path.join("crates/listen/data", look + ".csv"), "w") as file:
        file.write(
            f"# {head}\n# Each line: a trait, then knot:value pairs of a broken line; outside its knots the last value holds.\n"
            "# Fitted by bench/listen_fit.py (ridge logistic regression; how and on what: docs/methods/listen.md).\n"
        )
        file.write(open(path("tables", f"{look}-all.csv")).read())
