"""The recognizer: one thread owns it, and all others queue work for it.

Each kind of answer has a grammar of its own. A few are kept; the least recently used is dropped first.
Grammars are spelled out in the thread that asks for them, so that the recognizer need not wait.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Any, Self
from weakref import WeakValueDictionary

from assistant.asr.dictation import Writer, best_writer
from assistant.asr.grammar import Grammar, WordCheck, check_words, make_grammar, words_of
from assistant.asr.lattice import with_wide_lattice
from assistant.asr.n_best import SILENCE_LEAD, behind_unknown, parse_result
from assistant.asr.second_opinion import Scorer, best_scorer, second_opinion
from assistant.audio.denoise import clean
from assistant.audio.framing import framed
from assistant.audio.sound import RATE, Samples, Sound, read_sound
from assistant.audio.vad import has_voice
from assistant.errors import OperatorError
from assistant.messages import NO_PROMPT, Command, Expectation, Expects, Hearing, Hypothesis, Outcome
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.recognition.grammar_phrases import TOO_ALIKE, grammar_words, phrase_list
from assistant.understanding.recognition.rescoring import policy_of
from assistant.understanding.utterance import understand

ALTERNATIVES = 40
"""Hypotheses asked for: in noise the right words are often not among the first few."""
KEPT = 16
"""Grammars kept ready: more than a session has kinds of prompts, at about a third of a megabyte each."""
SPELLED = 4
"""Grammars that were spelled out and whose recognizers are not made yet, at about a megabyte each."""
CLEAN_BELOW_DB = 18.0
"""Signal-to-noise ratio in decibels below which steady noise is turned down before hearing."""
CLEAN_BY_DB = 6.0
"""By how much at most. Fitted by the bench: 6 dB adds six to eight right answers in a hundred at 5 dB; 12 dB adds
half of that, and in quiet it takes some away."""
AGAIN_WITHIN = 1.6
"""Seconds up to which a sound in which no word was found is listened to again, for a command alone."""
AGAIN_BY_DB = 12.0
"""By how much its noise is then turned down at most."""
AGAIN_LEAD = 6.0
"""Log score by which silence may lead over a word then: the detector says that a voice was there."""
NOISY_DB = 8.0
"""Signal-to-noise ratio in decibels below which readings are often misheard."""

COMMANDS = Expectation(Expects.COMMAND)
"""A prompt at which nothing but commands is listened for."""

Phrases = Callable[[Expectation], Sequence[str] | None]
"""Phrases of a prompt; None stands for the model's whole vocabulary."""
Job = Callable[[], object]


def closed() -> OperatorError:
    """What is told of a recognizer that is asked after its end."""
    return OperatorError("The recognizer was closed.", remedy="Start the session again.")


class Recognizer:
    """Hears sound as an answer to a prompt.

    Args:
        model_folder: folder of a verified model.
        vocabulary: what people say.
        notice: takes one sentence naming words that the model lacks, once each.
        phrases: what a prompt's grammar holds; None for the phrase list of ``understanding``.
        kept: grammars kept ready.
        scorer: gives who has the second opinion, asked at the first answer; nobody leaves the recognizer's alone.
        writer: gives who writes down free speech, asked at the first note; nobody leaves it to the recognizer.
    """

    def __init__(
        self,
        model_folder: Path,
        vocabulary: Vocabulary,
        *,
        notice: Callable[[str], None] | None = None,
        phrases: Phrases | None = None,
        kept: int = KEPT,
        scorer: Callable[[], Scorer | None] = best_scorer,
        writer: Callable[[], Writer | None] = best_writer,
    ) -> None:
        self._folder = model_folder
        self._vocabulary = vocabulary
        self._notice = notice
        self._phrases = phrases or (lambda expectation: phrase_list(expectation, vocabulary))
        self._scorer = scorer
        self._writer = writer
        self._model: Any = None
        self._kept = kept
        self._ready: OrderedDict[Expectation, Any] = OrderedDict()
        self._alike: WeakValueDictionary[str, Any] = WeakValueDictionary()
        self._spelled: OrderedDict[Expectation, Grammar] = OrderedDict()
        self._known: dict[str, bool] = {}
        self._missing: set[str] = set()
        self._closed = False
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="leadsman-recognizer")

    def hear(self, sound: Sound, expectation: Expectation) -> Hearing:
        """Decode one whole recording as one answer: a pause inside it does not end it.

        Raises:
            OperatorError: the model cannot be loaded.
        """
        prepared, as_it_came = heard_by_both(sound)
        noisy = is_noisy(sound)
        self.spell(expectation)
        hypotheses = self._submit(lambda: self._decode(prepared, expectation))
        if expectation.expects is Expects.NOTE or self._is_note(hypotheses):
            hypotheses = self._written(as_it_came, hypotheses, expectation)
        elif hypotheses:
            weight = policy_of(self._vocabulary).second_at(expectation.expects, sound.snr_db)
            hypotheses = second_opinion(self._scorer(), as_it_came, hypotheses, weight, noisy=noisy)
        elif not hypotheses and sound.duration <= AGAIN_WITHIN and has_voice(sound.samples):
            hypotheses = self._submit(lambda: self._again(sound.samples, expectation))
        warnings = sound.warnings
        if sound.snr_db is not None and sound.snr_db < NOISY_DB:
            warnings = (*warnings, "It is very loud around the voice: move closer to the microphone, or type.")
        return Hearing(hypotheses, sound.snr_db, warnings)

    def _is_note(self, hypotheses: Sequence[Hypothesis]) -> bool:
        """Whether 'make a note' begins what was heard, and words follow: those are beyond a prompt's grammar."""
        words = hypotheses[0].words if hypotheses else ""
        forms = self._vocabulary.commands[Command.NOTE]
        return any(words.startswith(f"{form} ") for form in forms if form not in TOO_ALIKE)

    def _written(
        self, samples: Samples, hypotheses: tuple[Hypothesis, ...], expectation: Expectation
    ) -> tuple[Hypothesis, ...]:
        """Free speech as it was written down; a command, and all of it where nobody can write, as it was heard.

        A note said in one breath at another prompt is left without its words where nobody can write: it is asked for.
        """
        free = expectation.expects is Expects.NOTE
        if free and hypotheses:
            first = understand(hypotheses[0].words, expectation, self._vocabulary)
            if first.outcome is not Outcome.NOTE:
                return hypotheses
        writer = self._writer()
        text = writer.write(samples) if writer is not None else ""
        if free:
            return (Hypothesis(text),) if text else hypotheses
        meant = understand(text, COMMANDS, self._vocabulary) if text else None
        if meant is not None and meant.command is Command.NOTE and meant.note:
            return (Hypothesis(text),)
        alone = next(form for form in self._vocabulary.commands[Command.NOTE] if form not in TOO_ALIKE)
        return (Hypothesis(alone),)

    def hear_file(self, path: Path, expectation: Expectation) -> Hearing:
        """Read and hear one recording.

        Raises:
            OperatorError: the recording cannot be used, or the model cannot be loaded.
        """
        return self.hear(read_sound(path), expectation)

    def prepare(self, expectation: Expectation) -> None:
        """Make the grammar of a prompt ready while its question is still being spoken."""
        self.spell(expectation)
        self._submit(lambda: self._recognizer_for(expectation))

    def spell(self, expectation: Expectation) -> None:
        """Spell out a prompt's grammar in the calling thread, so that the recognizer can hear answers meanwhile.

        Raises:
            OperatorError: the model cannot be loaded.
        """
        key = _key(expectation)
        if key in self._ready or key in self._spelled or expectation.expects is Expects.NOTE:
            return
        phrases = self._phrases(expectation)
        if phrases is None:
            return
        fresh = {word for phrase in set(phrases) for word in words_of(phrase)} - self._known.keys()
        if fresh:
            self._known.update(self._submit(lambda: {word: self._knows(word) for word in fresh}))
        self._spelled[key] = make_grammar(phrases, self._known.__getitem__)
        while len(self._spelled) > SPELLED:
            self._spelled.popitem(last=False)

    def missing_words(self, words: Sequence[str]) -> list[str]:
        """Words among these that the model cannot hear, for the check at start."""
        found: list[str] = self._submit(lambda: [word for word in words if not self._knows(word)])
        return found

    def words(self) -> WordCheck:
        """Every word of the grammars looked up in the model, for the check at start.

        Raises:
            OperatorError: the model cannot be loaded.
        """
        unsaid = self._vocabulary.unsaid
        wanted = grammar_words(self._vocabulary) | set(unsaid)
        instead = {word for words in unsaid.values() for word in words.split()}
        missing = set(self.missing_words(sorted(wanted | instead)))
        return check_words(wanted, unsaid, lambda word: word not in missing)

    def close(self) -> None:
        """End the thread and free the model; closing twice does no harm."""
        if not self._closed:
            self._closed = True
            self._pool.submit(self._free)
            self._pool.shutdown()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _submit(self, job: Job) -> Any:
        if self._closed:
            raise closed()
        return self._pool.submit(self._run, job).result()

    def _run(self, job: Job) -> object:
        self._load()
        return job()

    def _free(self) -> None:
        """Free the model. A job like the others: the library must be left by the thread that used it."""
        self._ready.clear()
        self._model = None

    def _load(self) -> None:
        if self._model is not None:
            return
        try:
            import vosk

            vosk.SetLogLevel(-1)
            with with_wide_lattice(self._folder) as folder:
                self._model = vosk.Model(str(folder))
        except Exception as error:  # noqa: BLE001 - the library raises bare exceptions
            raise OperatorError(
                f"The speech model in {self._folder} cannot be loaded ({error}).", remedy="Run: leadsman setup"
            ) from None

    def _again(self, samples: Samples, expectation: Expectation) -> tuple[Hypothesis, ...]:
        """A short answer too faint for its noise, heard for a command alone: it is never taken without a yes."""
        if expectation.expects is Expects.NOTE:
            return ()
        cleaned = framed(clean(samples, AGAIN_BY_DB), noisy=False)
        return behind_unknown(self._decode(cleaned, COMMANDS, AGAIN_LEAD))

    def _decode(
        self, samples: Samples, expectation: Expectation, silence_lead: float = SILENCE_LEAD
    ) -> tuple[Hypothesis, ...]:
        recognizer = self._recognizer_for(expectation)
        _same_dither()
        recognizer.AcceptWaveform(samples.tobytes())
        return parse_result(recognizer.FinalResult(), silence_lead)

    def _recognizer_for(self, expectation: Expectation) -> Any:
        """The recognizer of a prompt's grammar; prompts whose grammars are the same share one."""
        key = _key(expectation)
        if key not in self._ready:
            self._ready[key] = self._made(self._spelled.pop(key, None) or self._grammar(expectation))
            while len(self._ready) > self._kept:
                self._ready.popitem(last=False)
        self._ready.move_to_end(key)
        return self._ready[key]

    def _grammar(self, expectation: Expectation) -> Grammar | None:
        phrases = None if expectation.expects is Expects.NOTE else self._phrases(expectation)
        return make_grammar(phrases, self._knows) if phrases is not None else None

    def _made(self, grammar: Grammar | None) -> Any:
        text = grammar.text if grammar is not None else ""
        digest = hashlib.sha256(text.encode()).hexdigest()
        made = self._alike.get(digest)
        if made is not None:
            return made
        import vosk

        if grammar is None:
            made = vosk.KaldiRecognizer(self._model, RATE)
        else:
            self._report(grammar.missing)
            made = vosk.KaldiRecognizer(self._model, RATE, text)
        made.SetMaxAlternatives(ALTERNATIVES)
        made.SetWords(True)
        self._alike[digest] = made
        return made

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def _report(self, missing: Sequence[str]) -> None:
        fresh = [word for word in missing if word not in self._missing]
        self._missing.update(fresh)
        if fresh and self._notice is not None:
            self._notice(
                f"The speech model does not know: {', '.join(fresh)}. Phrases with them are not listened for."
            )


def is_noisy(sound: Sound) -> bool:
    """Whether there is noise to turn down."""
    return sound.snr_db is not None and sound.snr_db < CLEAN_BELOW_DB


def heard_by_both(sound: Sound) -> tuple[Samples, Samples]:
    """What the recognizer hears of a sound, cleaned in noise, and what the second scorer hears: the sound as it came.

    In quiet both hear it without the silence around it, which only takes time.
    """
    noisy = is_noisy(sound)
    samples = clean(sound.samples, CLEAN_BY_DB) if noisy else sound.samples
    prepared = framed(samples, noisy=noisy)
    return prepared, sound.samples if noisy else prepared


def _key(expectation: Expectation) -> Expectation:
    """The part of an expectation that its grammar depends on."""
    return replace(expectation, prompt=NO_PROMPT, hint="")


def _same_dither() -> None:
    """Make the same sound give the same scores each time.

    The library adds faint noise to every sound, drawn from the C library's own generator, so a doubtful word could be
    heard one way now and another way in a replay. Where that generator cannot be reached, nothing is lost but that.
    """
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).srand(1)
