"""``leadsman setup --listen`` and ``--voice``: is the microphone heard, and how should the voice speak."""

from __future__ import annotations

import sys
import time
from contextlib import ExitStack
from decimal import Decimal

import click
import numpy as np

from assistant import catalog
from assistant.asr.recognizer import Recognizer
from assistant.audio.devices import speech_problem
from assistant.audio.endpointer import Endpointer
from assistant.audio.microphone import Frame, Lost, Microphone
from assistant.audio.player import Player
from assistant.audio.sound import RATE, Samples, sound_of_samples
from assistant.audio.vad import FRAME, make_detector
from assistant.commands.shared import plain
from assistant.commands.terminal import echo, is_terminal, notice
from assistant.errors import OperatorError
from assistant.messages import Expectation, Expects, Hearing, Outcome
from assistant.setup.model import model_folder
from assistant.setup.settings import FASTEST, SLOWEST, VoiceSettings, load_voice, save_voice
from assistant.tts.synthesizer import Synthesizer, VoiceFailedError
from assistant.tts.voice import Voice
from assistant.understanding.interpret import interpret
from assistant.understanding.recognition.completeness import so_far

SENTENCE = "eleven eighty ohms"
VALUE = Decimal(1180)
PATIENCE = 30.0
"""Seconds in which somebody should have said it."""
SAMPLE = "Left rear sensor: one one eight zero ohms. Good. Next, the voltage at the plug."
_WIDTH = 40
_QUIETEST_DB = -60.0


def check_microphone() -> None:
    """Show the level, listen for one sentence, and say what was heard and how clear it was.

    Raises:
        OperatorError: there is no microphone, nothing was said, or another thing was understood.
    """
    vocabulary = catalog.load_vocabulary()
    asked = Expectation(Expects.READING, unit="ohm", span=(Decimal(0), Decimal(20000)))
    with ExitStack() as stack:
        recognizer = stack.enter_context(Recognizer(model_folder(), vocabulary))
        recognizer.prepare(asked)
        microphone = Microphone()
        stack.callback(microphone.close)
        echo(f"Microphone: {microphone.title}, {microphone.rate} samples a second")
        echo(f"Say: {SENTENCE}")
        hearing = _one_answer(
            microphone, recognizer, asked, Endpointer(lambda words: so_far(words, asked, vocabulary))
        )
        for warning in hearing.warnings:
            echo(f"({warning})")
        found = interpret(hearing.hypotheses, asked, vocabulary, snr_db=hearing.snr_db)
    words = hearing.hypotheses[0].words if hearing.hypotheses else ""
    noise = "" if hearing.snr_db is None else f", {hearing.snr_db:.0f} dB above the noise"
    echo(f"Heard: {words or 'nothing'}{noise}")
    if found.outcome is not Outcome.READING or found.value != VALUE:
        raise OperatorError(
            f"That was not understood as {plain(VALUE)} ohms.",
            remedy="Bring the microphone a hand's width from your voice, and try again where it is quieter.",
        )
    echo("The microphone is fine.")


def choose_voice(speed: int | None, name: str | None) -> None:
    """Set speed and voice, asking at a terminal; speak a sample; keep them.

    Raises:
        OperatorError: there is no such voice, or no voice at all.
    """
    problem = speech_problem()
    if problem is not None:
        raise OperatorError(problem.text, remedy=problem.remedy)
    before = load_voice()
    synthesizer = Synthesizer()
    try:
        voices = synthesizer.voices()
    finally:
        synthesizer.close()
    if speed is None and name is None and is_terminal():
        for one in voices:
            echo(f"  {one}")
        name = click.prompt("Voice (empty: the usual one)", default=before.name, show_default=bool(before.name))
        speed = click.prompt("Words a minute", default=before.words_a_minute, type=click.IntRange(SLOWEST, FASTEST))
    chosen = VoiceSettings(
        before.words_a_minute if speed is None else speed, before.name if name is None else str(name)
    )
    if chosen.name and voices and chosen.name not in voices:
        raise OperatorError(
            f"There is no voice '{chosen.name}'.", remedy=f"There are: {', '.join(voices[:20])}. Or leave it empty."
        )
    synthesizer = Synthesizer(chosen.words_a_minute, chosen.name)
    voice = Voice(synthesizer, Player(), notice)
    try:
        synthesizer.synthesize(SAMPLE)
        voice.say(SAMPLE)
    except VoiceFailedError as error:
        raise OperatorError(f"That voice does not speak ({error}).", remedy="Choose another.") from None
    finally:
        voice.close()
    echo(f"Kept in {save_voice(chosen)}: {chosen.words_a_minute} words a minute, {chosen.name or 'usual voice'}")


def _one_answer(microphone: Microphone, recognizer: Recognizer, asked: Expectation, endpoint: Endpointer) -> Hearing:
    voice, kept = make_detector(), list[Samples]()
    meter = sys.stdout.isatty()
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        for event in microphone.events():
            if isinstance(event, Lost):
                raise OperatorError(f"The microphone was lost. {event.reason}", remedy="Connect it and try again.")
            if not isinstance(event, Frame):
                echo("(It gives no sound at all: is it muted, and may this program use it?)")
                continue
            kept.append(event.samples)
            if meter:
                click.echo(f"\r{level_bar(event.samples)}", nl=False)
            # nothing is recognized yet, so plain silence after a voice ends the answer
            if str(endpoint.feed(FRAME / RATE, voice.likelihood(event.samples), "")) == "ended":
                if meter:
                    echo()
                levels = np.concatenate(kept[-round((endpoint.length + 0.5) * RATE / FRAME) :])
                return recognizer.hear(sound_of_samples(levels), asked)
        time.sleep(0.02)
    raise OperatorError(
        "I heard no voice.", remedy="Look whether the microphone is muted, and is the system's usual one."
    )


def level_bar(samples: Samples) -> str:
    """The level of a frame as a bar and in decibels of full scale."""
    power = float(np.mean((samples.astype(np.float64) / 32768.0) ** 2))
    level = max(_QUIETEST_DB, 10.0 * float(np.log10(power + 1e-12)))
    filled = round((level - _QUIETEST_DB) / -_QUIETEST_DB * _WIDTH)
    remark = "too loud" if level > -6 else ""
    return f"[{'#' * filled}{'.' * (_WIDTH - filled)}] {level:4.0f} dB {remark:<8}"
