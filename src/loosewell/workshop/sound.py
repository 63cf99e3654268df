"""A recording of a tap: where the tap is, what rings after it, and why it cannot be used if not."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loosewell.errors import FileRefusal

Array = NDArray[np.float64]
Progress = Callable[[str, float], None]
Fitted = tuple[float, float, float, float]
"""Frequency, its error, decay, its error. [Hz, Hz, 1/s, 1/s]"""
Fit = tuple[float, list[Fitted], int]
"""Misfit, the rings, and the number of bins."""

SLOWEST_RATE = 4000
"""Fewer samples a second cannot hold the third or fourth mode of a shaft. [1/s]"""
LONGEST_S = 60.0
"""Longer recordings are to be cut: a tap needs two seconds. [s]"""
LEAST_RINGING_S = 0.25
"""Less sound after the tap does not resolve the lowest modes. [s]"""
LOWEST_HZ = 25.0
HIGHEST_HZ = 6000.0
CONTACT_S = 0.006
"""After the onset the tapping finger or stick may still touch. [s]"""
JUMP_DB = 9.0
"""By how much the sound must jump at a tap. Modelling choice, no source."""
SECOND_TAP_DB = 20.0
"""A second jump this much below the first or less is a second tap, else a click. Choice."""
STANDS_OUT_DB = 10.0
"""By how much a peak must stand above the noise before the tap. Modelling choice, no source."""
QUICKEST_DAMPING = 0.05
SLOWEST_DAMPING = 2.5e-4
"""Damping ratios between which a peak is the ring of a shaft; slower is a tone that was there all
along, quicker a thump of the table or the hand. Modelling choice, no source."""
CLOCK_ERROR = 1e-4
"""Relative error of a recorder's clock. From memory: quartz is better than this."""
READ = {"WAV": "WAV", "WAVEX": "WAV", "RF64": "WAV", "FLAC": "FLAC", "OGG": "OGG"}


@dataclass(frozen=True)
class Ring:
    """One decaying tone after the tap; errors are standard errors."""

    frequency_hz: float
    error_hz: float
    damping_ratio: float
    damping_error: float
    above_noise_db: float
    strength: float
    """How plainly it stands out among the others, 0 to 1."""


@dataclass(frozen=True)
class Heard:
    """What a recording holds; ``notes`` are full sentences."""

    seconds: float
    rate_hz: int
    tap_at_s: float
    ringing_s: float
    mains_hz: int | None
    rings: tuple[Ring, ...]
    frequency_hz: Array
    level_db: Array
    """Power after the tap over its highest value, for a picture."""
    noise_db: Array | None
    notes: tuple[str, ...]


def listen(path: Path, tell: Progress | None = None) -> Heard:
    """What rings in a recording on disk.

    Parameters
    ----------
    path : Path
        WAV, FLAC or OGG, one or more channels. [file]
    tell : callable, optional
        Told the stage and the share done. [words, 1]

    Returns
    -------
    heard : Heard
        Rings, noise and notes. [Hz, s]

    Raises
    ------
    FileRefusal
        When it cannot be read, or ``hear`` cannot use it.

    Source
    ------
    The soundfile library (libsndfile).
    """
    samples, rate = read_samples(path)
    # A thin shaft sounds to both sides in opposite phase: channels are chosen, not added.
    power = np.mean((samples - samples.mean(axis=0)) ** 2, axis=0)
    return hear(np.ascontiguousarray(samples[:, int(np.argmax(power))]), rate, path.name, tell)


def read_samples(path: Path) -> tuple[Array, int]:
    """Samples, shape (n, channels), and rate of a recording [Hz]; refused in a sentence."""
    if not path.is_file():
        raise FileRefusal(
            f"There is no file {path}. Give the recording of a tap, as WAV, FLAC or OGG.",
            code="tap-missing",
        )
    import soundfile

    try:
        told = soundfile.info(str(path))
        format_ = told.format
    except (soundfile.SoundFileError, RuntimeError):
        format_ = None
    if format_ not in READ:
        kind = path.suffix.lstrip(".").lower()
        said = f"a recording of the kind {kind}" if kind and format_ is None else "another kind"
        if format_ is not None:
            said = f"{format_} sound"
        raise FileRefusal(
            f"{path.name} could not be read: it holds no WAV, FLAC or OGG sound but {said}, or it "
            "is damaged. Set the recorder to WAV, or convert the file, for example with: ffmpeg "
            f'-i "{path.name}" "{path.stem}.wav"',
            code="tap-format",
        )
    seconds = told.frames / told.samplerate
    if seconds > LONGEST_S:
        raise FileRefusal(
            f"{path.name} is {seconds:.0f} s long; at most {LONGEST_S:.0f} s are taken. Cut it "
            "down to one tap with half a second before it and two seconds after it.",
            code="tap-long",
        )
    try:
        samples, rate = soundfile.read(str(path), dtype="float64", always_2d=True)
    except (soundfile.SoundFileError, RuntimeError) as error:
        raise FileRefusal(
            f"{path.name} could not be read to its end: it is damaged. Copy it from the recorder "
            "again, or record again.",
            code="tap-format",
        ) from error
    if not np.all(np.isfinite(samples)):
        raise FileRefusal(
            f"{path.name} holds samples that are no numbers. Save it again as 16-bit WAV.",
            code="tap-format",
        )
    return samples, int(rate)


def hear(
    samples: Array, rate: int, name: str = "The recording", tell: Progress | None = None
) -> Heard:
    """What rings in one channel of sound.

    Parameters
    ----------
    samples : ndarray, shape (samples,)
        Full scale is 1. [1]
    rate : int
        Samples a second. [1/s]
    name : str
        What to call the recording in a refusal. [words]
    tell : callable, optional
        Told the stage and the share done. [words, 1]

    Returns
    -------
    heard : Heard
        Rings, noise and notes. [Hz, s]

    Raises
    ------
    FileRefusal
        Silence, too short, too slow a rate, clipped, hum only, no tap, several taps, speech, or
        nothing that rings.

    Source
    ------
    Derived in docs/bench/tap.md; thresholds are modelling choices.
    """
    if rate < SLOWEST_RATE:
        raise FileRefusal(
            f"{name} has {rate} samples a second; at least {SLOWEST_RATE} are needed to hold "
            "the higher modes. Record at 44,100 or 48,000.",
            code="tap-rate",
        )
    seconds = len(samples) / rate
    if seconds < LEAST_RINGING_S:
        raise FileRefusal(
            f"{name} is {seconds:.2f} s long, too short for a shaft to be heard. Record half a "
            "second before the tap and two seconds after it.",
            code="tap-short",
        )
    middle = float(np.mean(samples))
    loudest = float(np.max(np.abs(samples - middle)))
    if loudest < 2e-4:
        raise FileRefusal(
            f"{name} is silent. Check that the right microphone was on, hold it a hand's breadth "
            "from the shaft and tap again.",
            code="tap-silent",
        )
    sound = samples - middle
    notes: list[str] = []
    onsets = sudden(sound, rate)
    mains = _mains(sound, rate)
    if _speaks(sound, rate, mains):
        raise FileRefusal(
            f"{name} sounds like speech or singing: tones in whole-number ratios that swell and "
            "change. Record one tap with nobody speaking.",
            code="tap-speech",
        )
    if not onsets:
        if mains is not None:
            raise FileRefusal(
                f"{name} holds mains hum at {mains} Hz and its multiples, and no tap that stands "
                "out. Go away from lamps and chargers, hold the microphone closer and tap harder.",
                code="tap-hum",
            )
        raise FileRefusal(
            f"{name} holds no tap: the sound never jumps up and rings away. Hold the microphone "
            "a hand's breadth from the shaft, tap it once, and keep still for two seconds.",
            code="tap-none",
        )
    tap, others = _the_tap(sound, rate, onsets)
    last_clipped = _last_clipped(samples)
    if last_clipped is not None:
        if last_clipped > tap + 0.02 * rate:
            raise FileRefusal(
                f"{name} is clipped: the sound was louder than the recorder can hold for "
                f"{1000.0 * (last_clipped - tap) / rate:.0f} ms after the tap, and the cut-off "
                "tops sound like tones that are not there. Tap more softly or hold the "
                "microphone further away.",
                code="tap-clipped",
            )
        notes.append(
            "The blow itself was too loud for the recorder; only the ring after it was used."
        )
    others += [
        at
        for at in _blows_within(sound, rate, tap)
        if all(abs(at - known) > 0.03 * rate for known in others)
    ]
    late = [at for at in others if at > tap + 0.8 * rate]
    if len(others) > len(late) or any(_loudness(sound, rate, at, tap) > -12.0 for at in late):
        every = sorted([tap, *others])
        when = ", ".join(f"{at / rate:.2f} s" for at in every[:5])
        more = " and more" if len(every) > 5 else ""
        raise FileRefusal(
            f"{name} holds {len(every)} blows (at {when}{more}), and a second one falls into the "
            "ringing of the first. Cut it down to one tap, or tap once more and let the stick "
            "bounce away freely.",
            code="tap-several",
        )
    if late:
        notes.append(
            f"Another noise at {min(late) / rate:.2f} s: only what came before it was used."
        )
        sound = sound[: min(late) - int(0.02 * rate)]
    begin = max(tap + int(CONTACT_S * rate), (last_clipped or 0) + 2)
    ringing = sound[begin : begin + int(4.0 * rate)]
    ringing_s = len(ringing) / rate
    if ringing_s < LEAST_RINGING_S:
        raise FileRefusal(
            f"{name} ends {ringing_s:.2f} s after the tap, and at least {LEAST_RINGING_S} s are "
            "needed. Let it run for two seconds after the tap.",
            code="tap-short",
        )
    if ringing_s < 0.8:
        notes.append(
            f"Only {ringing_s:.2f} s were recorded after the tap; two seconds read the low modes "
            "better."
        )
    quiet = sound[: max(tap - int(0.012 * rate), 0)]
    if len(quiet) < 0.15 * rate:
        notes.append(
            "There is next to nothing before the tap, so that steady tones are told only by not "
            "dying away. Leave half a second before the tap."
        )
        quiet = sound[int(begin + 0.7 * (len(sound) - begin)) :] if ringing_s > 1.5 else sound[:0]
    rings, frequency, level, noise = _rings(ringing, quiet, rate, mains, tell)
    if not rings:
        raise FileRefusal(
            f"{name} holds a tap, but nothing rings on after it. Hang the shaft on two thread "
            "loops or hold it lightly between two fingertips, 22 % of its length from an end, and "
            "keep the microphone a hand's breadth away.",
            code="tap-no-ring",
        )
    if mains is not None:
        notes.append(f"Mains hum at {mains} Hz and its multiples was recognised and left out.")
    return Heard(
        seconds,
        rate,
        tap / rate,
        ringing_s,
        mains,
        tuple(rings),
        frequency,
        level,
        noise,
        tuple(notes),
    )


def _frames(sound: Array, rate: int, wide_s: float, step_s: float) -> tuple[Array, int]:
    """Mean power of overlapping frames in dB, and the step between them in samples."""
    step = max(int(step_s * rate), 1)
    wide = max(int(wide_s * rate), 4)
    total = np.concatenate([[0.0], np.cumsum(sound**2)])
    starts = np.arange(0, max(len(sound) - wide, 1), step)
    power = (total[np.minimum(starts + wide, len(sound))] - total[starts]) / wide
    return 10.0 * np.log10(np.maximum(power, 0.0) + 1e-14), step


def sudden(sound: Array, rate: int) -> list[int]:
    """Samples at which a sound jumps up, the loud ones only; rising."""
    from scipy.signal import butter, sosfilt

    low = np.asarray(sosfilt(butter(2, 45.0, "highpass", fs=rate, output="sos"), sound))
    ends = [350.0, min(3000.0, 0.4 * rate)]
    middle = np.asarray(sosfilt(butter(2, ends, "bandpass", fs=rate, output="sos"), sound))
    found: list[tuple[int, float]] = []
    # A stick's sharp blow shows in the high tones, a fingertip's soft one in the low ones; between
    # them there is neither mains hum nor a recorder's hiss.
    for band, wide, step, back in (
        (np.diff(sound, prepend=sound[0]), 0.004, 0.002, 9),
        (middle, 0.006, 0.002, 12),
        (low, 0.012, 0.003, 22),
    ):
        level, hop = _frames(band, rate, wide, step)
        if len(level) < back + 4:
            continue
        before = np.array(
            [level[max(i - back, 0) : max(i - 1, 1)].max() for i in range(len(level))]
        )
        before[0] = before[1] = level[: back + 1].max()
        jump = level - before
        peak = np.array([level[i : i + 12].max() for i in range(len(level))])
        jumps = np.nonzero((jump > JUMP_DB) & (level > level.max() - SECOND_TAP_DB - 10.0))[0]
        group: list[int] = []
        for i in jumps:
            if group and i - group[-1] > max(int(0.010 / step), 2):
                found.append((group[0] * hop, float(peak[group[0]] - level.max())))
                group = []
            group.append(int(i))
        if group:
            found.append((group[0] * hop, float(peak[group[0]] - level.max())))
    if not found:
        # A recording cut right at the tap begins with its loudest moment.
        level, hop = _frames(low, rate, 0.02, 0.005)
        if len(level) > 40 and np.argmax(level) * hop < 0.05 * rate:
            tail = float(np.median(level[int(0.7 * len(level)) :]))
            if level.max() - tail > 15.0:
                return [0]
    kept: list[int] = []
    for at in sorted(_sharpened(sound, at, rate) for at, below in found if below > -SECOND_TAP_DB):
        # The bands tell of the same blow, up to the longest frame apart.
        if not kept or at - kept[-1] > 0.018 * rate:
            kept.append(at)
    return kept


def _loudness(sound: Array, rate: int, at: int, beside: int) -> float:
    """How loud the tenth of a second after one moment is beside that after another. [dB]"""
    tenth = int(0.1 * rate)
    here, there = (float(np.mean(sound[one : one + tenth] ** 2)) for one in (at, beside))
    return 10.0 * math.log10((here + 1e-14) / (there + 1e-14))


def _the_tap(sound: Array, rate: int, onsets: list[int]) -> tuple[int, list[int]]:
    """The tap, and the other jumps; clicks well before the tap, fainter by far, do not count."""
    tap = max(onsets, key=lambda at: _loudness(sound, rate, at, onsets[0]))
    others = [
        at
        for at in onsets
        if at != tap
        and not (at < tap - 0.1 * rate and _loudness(sound, rate, at, tap) < -SECOND_TAP_DB)
    ]
    return tap, others


def _blows_within(sound: Array, rate: int, tap: int) -> list[int]:
    """Blows hidden in the ringing: what the ringing itself does not foretell.

    A ring is foretold by a linear recurrence on its own past; a blow is not.
    """
    from scipy.signal import resample_poly

    down = max(rate // 8000, 1)
    part = sound[tap : tap + int(1.0 * rate)]
    slow = np.asarray(resample_poly(part, 1, down)) if down > 1 else part
    rate_s, order = rate / down, 40
    skip = int(0.012 * rate_s)
    if len(slow) < skip + 20 * order:
        return []
    rows = np.lib.stride_tricks.sliding_window_view(slow, order + 1)
    past, now = rows[:, :-1], rows[:, -1]
    after = slice(skip, None)
    fitted = np.linalg.lstsq(past[after], now[after], rcond=1e-10)[0]
    surprise = (now - past @ fitted) ** 2
    wide = max(int(0.003 * rate_s), 4)
    power = np.convolve(surprise, np.ones(wide) / wide, "same")
    usual = float(np.median(power[skip:])) + 1e-20
    first = float(power[:skip].max())
    loud = (power > 60.0 * usual) & (power > 0.01 * first)
    loud[:skip] = False
    places = np.nonzero(loud)[0]
    found: list[int] = []
    for place in places:
        at = tap + int((place + order) * down)
        if not found or at - found[-1] > 0.02 * rate:
            found.append(at)
    return found


def _sharpened(sound: Array, about: int, rate: int) -> int:
    """The sample at which the sound first rises clear of what was before it."""
    span = int(0.016 * rate)
    start = max(about - int(0.004 * rate), 0)
    before = sound[max(start - span, 0) : start]
    stretch = np.abs(sound[start : start + 2 * span])
    floor = float(np.max(np.abs(before))) if len(before) > 8 else 0.0
    clear = max(1.5 * floor, 0.15 * float(stretch.max()))
    above = np.nonzero(stretch > clear)[0]
    return start + (int(above[0]) if len(above) else 0)


def _last_clipped(samples: Array) -> int | None:
    """The last sample that lies on a cut-off top, or None."""
    top = float(np.max(np.abs(samples)))
    flat = np.abs(samples) >= top * (1.0 - 1e-4)
    if top < 0.9:
        # Turned down after it was clipped: the tops are still flat, to the last bit.
        flat = np.abs(samples) >= top * (1.0 - 1e-6)
    edges = np.diff(np.concatenate([[0], flat.astype(np.int8), [0]]))
    starts, ends = np.nonzero(edges == 1)[0], np.nonzero(edges == -1)[0]
    long_ = ends - starts >= 4
    if np.sum(long_) >= 2 or (top >= 0.9 and np.any(ends - starts >= 8)):
        return int(ends[long_][-1]) - 1
    # A packed recording rounds the flat tops a little: many tops of one and the same height.
    if top > 0.97:
        size = np.abs(samples)
        tops = np.nonzero((size[1:-1] >= size[:-2]) & (size[1:-1] > size[2:]))[0] + 1
        near = tops[size[tops] > 0.94 * min(top, 1.0)]
        if len(near) >= 12 and len(near) > 0.3 * np.sum(size[tops] > 0.5):
            return int(near[-1])
    return None


def _mains(sound: Array, rate: int) -> int | None:
    """50 or 60 when lines at its multiples stand in the quietest part of the sound."""
    from scipy.signal import periodogram

    wide = min(len(sound), int(1.0 * rate))
    if wide < 0.3 * rate:
        return None
    starts = range(0, len(sound) - wide + 1, max(wide // 4, 1))
    quietest = min(starts, key=lambda at: float(np.mean(sound[at : at + wide] ** 2)))
    part = sound[quietest : quietest + wide]
    frequency, power = periodogram(part, rate, "hann", nfft=4 * wide)
    best: tuple[float, int] | None = None
    for base in (50, 60):
        lines, told = 0, 0.0
        for k in range(1, 9):
            near = np.abs(frequency - k * base) < 0.004 * k * base + 1.0
            around = (np.abs(frequency - k * base) < 20.0) & (np.abs(frequency - k * base) > 5.0)
            if not near.any() or not around.any() or k * base > 0.45 * rate:
                continue
            floor = float(np.median(power[around])) + 1e-18
            place = int(np.argmax(np.where(near, power, 0.0)))
            peaked = abs(frequency[place] - k * base) < 0.003 * k * base + 0.5
            above = 10.0 * math.log10(power[place] / floor + 1e-12)
            if above > 13.0 and peaked:
                lines += 1
                told += above
        if (lines >= 2 or told > 25.0) and (best is None or told > best[0]):
            best = (told, base)
    return None if best is None else best[1]


def _speaks(sound: Array, rate: int, mains: int | None) -> bool:
    """Whether much of the sound is a voice: whole-number ratios, swelling and changing."""
    from scipy.signal import find_peaks

    wide = int(0.064 * rate)
    step = wide // 2
    if len(sound) < 6 * wide:
        return False
    window = np.hanning(wide)
    starts = np.arange(0, len(sound) - wide, step)
    level = np.array([np.mean(sound[at : at + wide] ** 2) for at in starts])
    active = starts[level > level.max() * 10.0 ** (-2.5)]
    nfft = 4 * wide
    frequency = np.fft.rfftfreq(nfft, 1.0 / rate)
    band = (frequency > 60.0) & (frequency < min(2500.0, 0.45 * rate))
    pitches = []
    for at in active:
        size = np.abs(np.fft.rfft(window * sound[at : at + wide], nfft))[band]
        decibel = 20.0 * np.log10(size + 1e-12)
        peaks, _ = find_peaks(decibel, height=decibel.max() - 32.0, prominence=8.0)
        heard = frequency[band][peaks]
        if len(heard) < 5:
            continue
        pitch = _pitch(heard)
        if pitch is not None:
            pitches.append(pitch)
    # Mains hum has whole-number ratios too, but it stays where it is.
    if mains is not None:
        pitches = [one for one in pitches if abs(one / mains - round(one / mains)) > 0.02]
    return len(pitches) >= 4 and len(pitches) > 0.25 * len(active)


def _pitch(heard: Array) -> float | None:
    """The tone whose multiples explain nearly all of the peaks, at least five in a row."""
    for first in heard[:6]:
        for number in (1, 2, 3, 4):
            pitch = float(first) / number
            if not 70.0 <= pitch <= 420.0:
                continue
            order = np.rint(heard / pitch)
            fits = (np.abs(heard - order * pitch) < 0.09 * pitch) & (order >= 1)
            row = np.unique(order[fits])
            longest = run = 1
            for a, b in pairwise(row):
                run = run + 1 if b == a + 1 else 1
                longest = max(longest, run)
            if longest >= 5 and np.mean(fits) > 0.8:
                # The whole comb must fit one pitch closely, not only loosely.
                better = float(np.sum(heard[fits] * order[fits]) / np.sum(order[fits] ** 2))
                if np.max(np.abs(heard[fits] / order[fits] / better - 1.0)) < 0.03:
                    return better
    return None


def _density(sound: Array, rate: int, wide: int, nfft: int, falling: bool) -> tuple[Array, Array]:
    """Power density of a stretch: its start weighted most, or evenly averaged pieces of it."""
    if falling:
        part = sound[:wide]
        window = 0.5 * (1.0 + np.cos(np.pi * np.arange(len(part)) / len(part)))
        size = np.abs(np.fft.rfft(window * part, nfft)) ** 2
        return _bins(nfft, rate), np.asarray(size * 2.0 / (rate * np.sum(window**2)))
    from scipy.signal import welch

    piece = min(wide, len(sound))
    frequency, power = welch(
        sound, rate, "hann", nperseg=piece, noverlap=piece // 2, nfft=max(nfft, piece)
    )
    return np.asarray(frequency), np.asarray(power)


def _bins(samples: int, rate: int) -> Array:
    return np.asarray(np.fft.rfftfreq(samples, 1.0 / rate), dtype=np.float64)


def _rings(
    ringing: Array, quiet: Array, rate: int, mains: int | None, tell: Progress | None
) -> tuple[list[Ring], Array, Array, Array | None]:
    """The rings, and the spectrum with the noise for a picture."""
    from scipy.ndimage import median_filter
    from scipy.signal import find_peaks

    top = min(HIGHEST_HZ, 0.45 * rate)
    candidates: dict[float, tuple[float, float]] = {}
    picture: tuple[Array, Array, Array | None] | None = None
    # Low modes ring for a second, high ones for a twentieth: each in a window of its own length.
    for wide_s, low, high, around in (
        (1.2, LOWEST_HZ, 700.0, 40.0),
        (0.3, 180.0, 3000.0, 150.0),
        (0.1, 700.0, top, 400.0),
    ):
        wide = min(int(wide_s * rate), len(ringing))
        nfft = 1 << math.ceil(math.log2(4 * wide))
        frequency, power = _density(ringing, rate, wide, nfft, falling=True)
        noise = None
        if len(quiet) > 0.1 * rate:
            f_noise, p_noise = _density(quiet, rate, wide, nfft, falling=False)
            noise = np.interp(frequency, f_noise, p_noise)
        decibel = 10.0 * np.log10(power + 1e-20)
        # A peak must stand above what lies around it, and above the quiet before the tap.
        far = max(int(around * nfft / rate) | 1, 3)
        floor = np.asarray(median_filter(decibel, far))
        before = None if noise is None else 10.0 * np.log10(noise + 1e-20)
        if before is not None:
            floor = np.maximum(floor, before)
        band = (frequency >= low) & (frequency <= min(high, top))
        if picture is None:
            picture = (frequency, decibel, before)
        places, _ = find_peaks(np.where(band, decibel, -300.0), prominence=6.0)
        for place in places:
            above = float(decibel[place] - floor[place])
            if above < STANDS_OUT_DB or decibel[place] < decibel[band].max() - 55.0:
                continue
            at = float(frequency[place])
            near = [
                other for other in candidates if abs(other - at) < max(1.5 / wide_s, 0.004 * at)
            ]
            if near and max(candidates[other][0] for other in near) >= above:
                continue
            if near and len(near) > 1:
                continue
            for other in near:
                del candidates[other]
            candidates[at] = (above, float(decibel[place]))
    assert picture is not None
    rings = _fitted(ringing, rate, mains, candidates, tell)
    frequency, decibel, noise_db = picture
    shown = (frequency > 15.0) & (frequency < top)
    highest = float(decibel[shown].max())
    return (
        rings,
        frequency[shown],
        decibel[shown] - highest,
        None if noise_db is None else noise_db[shown] - highest,
    )


def _fitted(
    ringing: Array,
    rate: int,
    mains: int | None,
    candidates: dict[float, tuple[float, float]],
    tell: Progress | None,
) -> list[Ring]:
    """Each candidate as a decaying tone, with the errors of the fit."""
    if not candidates:
        return []
    plainest = sorted(candidates, key=lambda at: -candidates[at][0])[:24]
    highest = max(candidates[at][1] for at in plainest)
    rings: list[Ring] = []
    level_at = {at: candidates[at][1] for at in plainest}
    groups = _groups(level_at, len(ringing) / rate)
    for done, group in enumerate(groups):
        if tell is not None:
            tell("listening", done / len(groups))
        for frequency, error, decay, decay_error in _fit_group(ringing, rate, mains, group):
            omega = 2.0 * math.pi * frequency
            damping = decay / omega
            if not SLOWEST_DAMPING < damping < QUICKEST_DAMPING:
                continue
            # What does not plainly die away by itself is a gap between louder rings, or noise.
            if decay_error > 0.35 * decay or error > 0.02 * frequency:
                continue
            if mains is not None and _is_hum(frequency, mains) and damping < 1e-3:
                continue
            nearest = min(group, key=lambda at: abs(at - frequency))
            above, level = candidates[nearest]
            strength = min(max((level - highest + 45.0) / 45.0, 0.05), (above - 4.0) / 20.0, 1.0)
            rings.append(
                Ring(
                    frequency,
                    math.hypot(error, CLOCK_ERROR * frequency),
                    damping,
                    decay_error / omega,
                    above,
                    max(strength, 0.05),
                )
            )
    rings.sort(key=lambda one: one.frequency_hz)
    apart: list[Ring] = []
    for ring in rings:
        if apart and ring.frequency_hz - apart[-1].frequency_hz < 2.0 * math.hypot(
            ring.error_hz, apart[-1].error_hz
        ):
            if ring.error_hz < apart[-1].error_hz:
                apart[-1] = ring
            continue
        apart.append(ring)
    return apart


def _is_hum(frequency: float, mains: int) -> bool:
    order = max(round(frequency / mains), 1)
    return abs(frequency - order * mains) < 0.5 + 0.002 * order * mains


def _groups(level_at: dict[float, float], seconds: float) -> list[list[float]]:
    """Candidates so close and so alike in loudness that they must be fitted together."""
    groups: list[list[float]] = []
    for at in sorted(level_at):
        # A band is as wide as the ring it holds needs: about 7 % of its frequency.
        reach = max(14.0 / min(seconds, 2.0), 0.08 * at)
        if (
            groups
            and at - groups[-1][-1] < reach
            and len(groups[-1]) < 3
            and abs(level_at[at] - level_at[groups[-1][-1]]) < 30.0
        ):
            groups[-1].append(at)
        else:
            groups.append([at])
    return groups


def _fit_group(ringing: Array, rate: int, mains: int | None, group: list[float]) -> list[Fitted]:
    """Frequency, decay and their errors of each ring in one narrow band."""
    middle = sum(group) / len(group)
    decay = 0.005 * 2.0 * math.pi * middle
    best: Fit | None = None
    start = list(group)
    for _ in range(3):
        seconds = min(len(ringing) / rate, max(6.0 / decay, 12.0 / middle))
        found = _one_fit(ringing, rate, mains, start, decay, seconds)
        if found is None:
            break
        best = found
        slower = min(one[2] for one in found[1])
        start = [one[0] for one in found[1]]
        if abs(math.log(slower / decay)) < 0.3:
            break
        decay = slower
    if best is None:
        return []
    if len(group) == 1:
        # One peak may be two planes of nearly the same stiffness: kept only if plainly better.
        frequency, _, decay, _ = best[1][0]
        part = decay / (2.0 * math.pi)
        seconds = min(len(ringing) / rate, max(6.0 / decay, 12.0 / middle))
        both = _one_fit(ringing, rate, mains, [frequency - part, frequency + part], decay, seconds)
        once = _one_fit(ringing, rate, mains, [frequency], decay, seconds, like=2)
        if both is not None and once is not None and _plainly_two(both[1]):
            bins = 2.0 * both[2]
            if bins * math.log(once[0] / both[0]) > 4.0 * math.log(bins) + 12.0:
                return both[1]
    return best[1]


def _plainly_two(pair: list[Fitted]) -> bool:
    (a, a_error, a_decay, _), (b, b_error, b_decay, _) = pair
    apart = abs(a - b)
    return (
        apart > 4.0 * math.hypot(a_error, b_error)
        and apart > 0.4 * (a_decay + b_decay) / (2.0 * math.pi)
        and max(a_decay, b_decay) < 3.0 * min(a_decay, b_decay)
    )


def _one_fit(
    ringing: Array,
    rate: int,
    mains: int | None,
    start: list[float],
    decay: float,
    seconds: float,
    like: int | None = None,
) -> Fit | None:
    """Misfit, the rings, and the number of bins; ``like`` keeps the band of so many rings."""
    from loosewell.physics import tone

    wide = min(int(seconds * rate), len(ringing))
    count = like or len(start)
    reach = (10.0 + 4.0 * count) / (wide / rate)
    low, high = min(start) - reach, max(start) + reach
    size = np.fft.rfft(ringing[:wide])
    frequency = _bins(wide, rate)
    band = (frequency >= max(low, 6.0)) & (frequency <= min(high, 0.49 * rate))
    steady: list[float] = []
    if mains is not None:
        orders = range(max(1, math.ceil(low / mains)), math.floor(high / mains) + 1)
        steady = [float(order * mains) for order in orders]
        if any(abs(one - hum) < 0.15 for one in start for hum in steady):
            steady = [hum for hum in steady if all(abs(one - hum) >= 0.15 for one in start)]
    found, decays, error, decay_error, misfit, _ = tone.ring_fit(
        size[band],
        frequency[band],
        wide,
        float(rate),
        np.array(start),
        np.full(len(start), decay),
        np.array(steady),
    )
    if not np.all(np.isfinite(error)) or not np.all(np.isfinite(decay_error)):
        return None
    rows = [
        (float(f), float(e), float(d), float(de))
        for f, e, d, de in zip(found, error, decays, decay_error, strict=True)
    ]
    return misfit, rows, int(band.sum())
