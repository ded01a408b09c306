"""Converts sound of any rate and number of channels to what the recognizer takes (mono, 16 bits, 16 kHz)."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr

from assistant.errors import OperatorError

RATE = 16000
"""Samples a second that the recognizer takes."""
LONGEST = 120.0
"""Seconds of the longest answer that is taken: anything longer is some other recording."""
SHORTEST = 0.05
"""Seconds below which no word can be in it."""
SILENT_PEAK = 1e-4
"""Share of full scale that a recording must exceed (-80 dB): below it lies only a muted input."""
FAINT_LEVEL = 0.003
"""Loudest tenth of a second, as root mean square share of full scale (-50 dB): below it words are lost."""
CLIPPED_SHARE = 0.001
"""Share of clipped samples from which words are harmed."""
_REMEDY = "Give a WAV or FLAC recording of one answer."
_FRAME = 400  # samples in 25 ms
_SNR_LIMITS = (-10.0, 60.0)

Samples = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """One piece of sound as the recognizer takes it, and how good it is."""

    samples: Samples
    """Mono, 16 bits, at ``RATE``."""
    rate: int
    """Samples a second of the recording it came from."""
    clipped: float
    """Share of samples at full scale, or wrapped past it."""
    snr_db: float | None
    """Estimated signal-to-noise ratio in decibels, None when the sound is too short to tell."""
    name: str = ""
    """Name of the file, for messages."""

    @property
    def duration(self) -> float:
        """Length in seconds."""
        return len(self.samples) / RATE

    @property
    def warnings(self) -> tuple[str, ...]:
        """Whole sentences about what may harm hearing it."""
        found = []
        if self.clipped >= CLIPPED_SHARE:
            found.append("The sound is clipped: move the microphone away or turn its gain down.")
        if _loudest(self.samples) < FAINT_LEVEL:
            found.append("The sound is very faint: move the microphone closer or turn its gain up.")
        return tuple(found)


def read_sound(path: Path) -> Sound:
    """Read a WAV or FLAC file.

    Raises:
        OperatorError: the file is missing, broken, empty, silent, too short or too long.
    """
    import soundfile

    if not path.exists():
        raise OperatorError(f"There is no recording at {path}.", remedy=_REMEDY)
    if not path.is_file():
        raise OperatorError(f"{path} is not a file.", remedy=_REMEDY)
    try:
        if path.stat().st_size == 0:
            raise OperatorError(f"{path} is empty.", remedy=_REMEDY)
        with soundfile.SoundFile(str(path)) as opened:
            rate = int(opened.samplerate)
            if opened.frames > LONGEST * rate:
                raise OperatorError(
                    f"{path} is {opened.frames / rate:.0f} seconds long; one answer is at most {LONGEST:.0f}.",
                    remedy="Give one recording for each answer.",
                )
            levels = opened.read(int(LONGEST * rate) + 1, dtype="float32", always_2d=True)
    except soundfile.SoundFileError:
        raise OperatorError(
            f"{path} cannot be read as sound: it is broken or of another kind.", remedy=_REMEDY
        ) from None
    except OSError as error:
        raise OperatorError(f"Cannot read {path}: {error.strerror or error}.", remedy=_REMEDY) from None
    return make_sound(levels, rate, path.name, str(path))


def write_sound(path: Path, samples: Samples, rate: int) -> None:
    """Write samples as a 16-bit sound file of the kind that the name ends in.

    Raises:
        OSError, RuntimeError: it cannot be written.
    """
    import soundfile

    soundfile.write(path, samples, rate, subtype="PCM_16")


def sound_of_samples(samples: Samples, where: str = "The sound") -> Sound:
    """Bring 16-bit levels of one channel at ``RATE`` to what the recognizer takes; raises as ``make_sound``."""
    return make_sound(samples.astype(np.float32) / np.float32(32768.0), RATE, where=where)


def make_sound(levels: npt.NDArray[np.float32], rate: int, name: str = "", where: str = "The sound") -> Sound:
    """Bring levels (frames by channels, or frames alone, full scale 1.0) to what the recognizer takes.

    Raises:
        OperatorError: it is empty, too short, too long, silent, or not numbers.
    """
    if not 4000 <= rate <= 400_000:
        raise OperatorError(
            f"{where} has a rate of {rate} samples a second, which no microphone gives.", remedy=_REMEDY
        )
    if levels.shape[0] == 0:
        raise OperatorError(f"{where} holds no sound.", remedy=_REMEDY)
    if levels.shape[0] < SHORTEST * rate:
        raise OperatorError(f"{where} is too short to hold a word.", remedy=_REMEDY)
    if levels.shape[0] > LONGEST * rate:
        raise OperatorError(f"{where} is longer than {LONGEST:.0f} seconds.", remedy="Give one recording an answer.")
    if not np.isfinite(levels).all():
        raise OperatorError(f"{where} is broken: it holds values that are not numbers.", remedy=_REMEDY)
    mono = _mono(levels)
    if float(np.max(np.abs(levels))) < SILENT_PEAK or float(np.max(np.abs(mono - mono.mean()))) < SILENT_PEAK:
        raise OperatorError(f"{where} is silent.", remedy="Check that the microphone is on and not muted.")
    mono = mono - mono.mean()
    if rate != RATE:
        mono = np.asarray(soxr.resample(mono, rate, RATE), dtype=np.float32)
    samples = np.clip(np.rint(mono * 32767.0), -32768, 32767).astype(np.int16)
    return Sound(samples, rate, _clipped_share(levels), estimate_snr(samples), name)


def estimate_snr(samples: Samples) -> float | None:
    """Signal-to-noise ratio in decibels from the levels of 25 ms frames, None below a fifth of a second.

    The quietest fifth of the frames stands for the noise, the louder four tenths for speech over noise: about the
    share of an answer's frames that hold its voice. It is a guide for advice and for caution, good to a few decibels
    when the recording holds a moment without speech.
    """
    frames = len(samples) // _FRAME
    if frames < 8:
        return None
    power = np.mean(samples[: frames * _FRAME].astype(np.float64).reshape(frames, _FRAME) ** 2, axis=1)
    noise = float(np.mean(np.sort(power)[: max(1, frames // 5)])) + 1e-3
    loud = float(np.mean(np.sort(power)[-max(1, frames * 4 // 10) :]))
    ratio = 10.0 * np.log10(max(loud - noise, 1e-3) / noise)
    return float(min(max(ratio, _SNR_LIMITS[0]), _SNR_LIMITS[1]))


def _mono(levels: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """One channel: the mean, unless the channels cancel each other, then the loudest."""
    if levels.ndim == 1:
        return levels
    mean = levels.mean(axis=1, dtype=np.float32)
    powers = np.mean(np.square(levels, dtype=np.float32), axis=0)
    loudest = int(np.argmax(powers))
    if float(np.mean(np.square(mean))) < 0.1 * float(powers[loudest]):
        return np.ascontiguousarray(levels[:, loudest])
    return np.ascontiguousarray(mean)


def _clipped_share(levels: npt.NDArray[np.float32]) -> float:
    """Share of samples that stand at full scale beside another such, or jump across most of the scale.

    A gain that is too high leaves flat tops; a converter that wraps leaves jumps and no flat top.
    """
    frames = levels if levels.ndim == 2 else levels[:, None]
    high = np.abs(frames) >= 0.999
    flat = high[1:] & high[:-1]
    jumps = np.abs(np.diff(frames, axis=0)) > 1.5
    return float(np.mean(np.any(flat | jumps, axis=1))) if len(frames) > 1 else 0.0


def _loudest(samples: Samples) -> float:
    """Level of the loudest tenth of a second, as a share of full scale."""
    block = RATE // 10
    count = max(1, len(samples) // block)
    power = [float(np.mean(samples[i * block : (i + 1) * block].astype(np.float64) ** 2)) for i in range(count)]
    return float(np.sqrt(max(power))) / 32768.0
