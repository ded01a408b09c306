"""What tests share: where recordings and the model lie, and what happens when they are not there."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest
from hypothesis import settings

from assistant import catalog
from assistant.asr.recognizer import Recognizer
from assistant.audio.devices import speech_problem
from assistant.errors import OperatorError
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.report.pdf import as_pdf
from assistant.setup.model import model_folder
from tests import machine, scheduling

if TYPE_CHECKING:
    from xdist.remote import Producer

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # a shell starts what it runs in the background deaf to Ctrl-C, and programs under test would inherit that
    signal.signal(signal.SIGINT, signal.default_int_handler)

settings.register_profile("untimed", deadline=None)  # a busy machine is no failure
settings.load_profile("untimed")

ROOT = Path(__file__).parent.parent
STRICT = os.environ.get("LEADSMAN_STRICT") == "1"
"""True in continuous integration: what set-up must provide may not be missing."""


def missing(what: str) -> NoReturn:
    """Skip a test that needs something of the machine, or fail it where set-up had to provide that."""
    if STRICT:
        pytest.fail(what)
    pytest.skip(what)


def pytest_report_header() -> list[str]:
    """Tell before the first test what this machine lacks."""
    return machine.told()


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Long files first, after the order was shuffled."""
    scheduling.long_first(items)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> scheduling.ByFile | None:
    """Files are handed out whole, with a few exceptions."""
    return scheduling.ByFile(config, log) if config.option.dist == "loadfile" else None


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep the user's own records and shop files out of the tests, and the tests out of them."""
    with pytest.MonkeyPatch.context() as patch:
        home = tmp_path_factory.mktemp("user")
        patch.setenv("LEADSMAN_RECORDS", str(home / "records"))
        patch.setenv("LEADSMAN_SHOP", str(home / "shop"))
        (home / "shop").mkdir()
        yield


@pytest.fixture(scope="session")
def speech_corpus() -> Path:
    """Folder of shared recordings: ``LEADSMAN_SPEECH``, else ``../shared/speech`` beside the checkout."""
    named = os.environ.get("LEADSMAN_SPEECH")
    folder = Path(named) if named else ROOT.parent / "shared" / "speech"
    if not (folder / "human.tsv").is_file():
        pytest.skip(f"the shared recordings are not in {folder.name!r} (set LEADSMAN_SPEECH)")
    return folder


@pytest.fixture(scope="session")
def speech_model() -> Path:
    """Folder of the verified speech model."""
    try:
        return model_folder()
    except OperatorError as error:
        missing(str(error))


@pytest.fixture(scope="session")
def speech_library() -> None:
    """The library that pyttsx3 speaks with is there."""
    problem = speech_problem()
    if problem is not None:
        missing(f"{problem.text} {problem.remedy}")


@pytest.fixture(scope="session")
def pdf_library() -> None:
    """WeasyPrint and the system's Pango are there."""
    try:
        as_pdf("<p>one page</p>")
    except OperatorError as error:
        missing(str(error))


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    """What people say, from ``grammars/``."""
    return catalog.load_vocabulary()


@pytest.fixture(scope="session")
def recognizer(speech_model: Path, vocabulary: Vocabulary) -> Iterator[Recognizer]:
    """One recognizer for the whole run: the model takes half a second to load."""
    with Recognizer(speech_model, vocabulary) as made:
        yield made
