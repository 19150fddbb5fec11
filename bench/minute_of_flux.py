"""Spectral flux of a minute of sound and its peaks: onsets only, no rhythm, no knocks. `librosa` or `aubio`, with the same
frames as ours (1,024 samples every 5 ms).

librosa works on the whole minute at once, aubio frame by frame as the sound comes, as a program does that listens.
"""

import json
import os
import sys
import time

# One thread, as ours has; read when the libraries are loaded.
for threads in ("OMP", "OPENBLAS", "MKL", "NUMBA"):
    os.environ[f"{threads}_NUM_THREADS"] = "1"

import numpy as np

FRAME, PER_S = 1024, 200


def by_librosa(samples, rate):
    import librosa

    rising = librosa.onset.onset_strength(
        y=samples, sr=rate, n_fft=FRAME, hop_length=rate // PER_S, n_mels=26, fmin=100, lag=2, max_size=3
    )
    return librosa.onset.onset_detect(
        onset_envelope=rising, sr=rate, hop_length=rate // PER_S, units="time"
    )


def by_aubio(samples, rate):
    import aubio

    hop = rate // PER_S
    detector = aubio.onset("specflux", FRAME, hop, rate)
    return [detector.get_last_s() for at in range(0, len(samples) - hop + 1, hop) if detector(samples[at : at + hop])]


def made(rate, seconds):
    """Three bursts a second over noise."""
    rng = np.random.default_rng(1)
    samples = rng.standard_normal(rate * seconds).astype(np.float32) * np.float32(0.01)
    for at in range(0, len(samples) - 3000, rate // 3):
        samples[at : at + 3000] += (rng.standard_normal(3000) * np.exp(-np.arange(3000) / 700)).astype(np.float32)
    return samples


run = {"librosa": by_librosa, "aubio": by_aubio}[sys.argv[1]]
for line in sys.stdin:
    case = json.loads(line)
    given = case["input"]
    samples = made(given["rate_hz"], given["seconds"])
    onsets = run(samples, given["rate_hz"])  # compiles what it compiles
    assert len(onsets) > given["seconds"], f"{len(onsets)} onsets: the detector hears next to nothing"
    seconds = []
    for _ in range(given["repeats"]):
        clock = time.perf_counter()
        run(samples, given["rate_hz"])
        seconds.append(time.perf_counter() - clock)
    result = {"heard_s": len(samples) / given["rate_hz"]}
    print(json.dumps({"case": case["case"], "result": result, "seconds": float(np.median(seconds))}), flush=True)
