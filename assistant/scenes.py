"""Demo scenes: recorded sessions with a hidden fault, their answers as sound and as typed words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from assistant import library
from assistant.clock import ScriptedClock
from assistant.errors import DocumentError, Finding
from assistant.messages import Expectation


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Answer(_Table):
    """One answer of the technician."""

    prompt: str
    """Identity of the prompt that it answers."""
    typed: str
    """What is said, as a person would type it."""
    spoken: str | None = None
    """What is said aloud where that differs."""
    voice: Literal["rms", "slt", "awb"] | None = None
    """Voice that the recording was made with."""
    noise_db: float | None = None
    """Signal-to-noise ratio of the noise mixed behind the voice, None for a quiet shop."""
    only: Literal["sound", "typed"] | None = None
    """Way of answering that this answer is for alone: a spoken reading may need a yes where a typed one does not."""
    after: Annotated[float, Field(ge=0, le=7200)] = 20
    """Seconds between the prompt and the answer: work takes its time."""


class Scene(_Table):
    """One ``demo_sessions/NAME/scene.toml``."""

    title: str
    summary: str
    invented: Literal[True]
    """Every scene is made up; the file says so."""
    procedure: str
    faults: tuple[str, ...]
    """The hidden faults, as ``fault`` or ``fault @ place``."""
    ending: str
    """The ending that the session comes to."""
    started: datetime
    meter: str | None = None
    air_fahrenheit: Decimal | None = None
    unit: str = ""
    voice: Literal["rms", "slt", "awb"] = "rms"
    answers: Annotated[tuple[Answer, ...], Field(min_length=1)]


@dataclass(frozen=True)
class StoredScene:
    """A scene and where it lies."""

    name: str
    folder: Path
    scene: Scene

    @property
    def spoken(self) -> list[tuple[Answer, Path]]:
        """The answers of a session from sound, with their recordings."""
        numbered = enumerate(self.scene.answers, 1)
        return [(answer, self.folder / f"{number:02d}.flac") for number, answer in numbered if answer.only != "typed"]

    @property
    def typed(self) -> list[Answer]:
        """The answers of a typed session."""
        return [answer for answer in self.scene.answers if answer.only != "sound"]


def load_scene(name: str) -> StoredScene:
    """One scene by its name.

    Raises:
        OperatorError: there is none of that name.
        DocumentError: its file has faults.
    """
    folder = library.find("demo_sessions", name)
    path = folder / "scene.toml"
    try:
        return StoredScene(name, folder, Scene.model_validate(library.read_toml(path)))
    except ValidationError as error:
        findings = [
            Finding(" / ".join(str(part) for part in fault["loc"]), f"{fault['msg']}.") for fault in error.errors()
        ]
        raise DocumentError(f"{name}/scene.toml", findings) from None


def list_scenes() -> Iterator[StoredScene]:
    """Every scene, by name."""
    for path in library.files("demo_sessions", "*/scene.toml"):
        yield load_scene(path.parent.name)


def pacing(answers: Sequence[Answer], clock: ScriptedClock) -> Callable[[Expectation], None]:
    """What lets the scene's time pass: each answer comes ``after`` so many seconds."""
    waits = iter([answer.after for answer in answers])

    def before_answer(expectation: Expectation) -> None:  # noqa: ARG001 - the scene alone sets the pace
        clock.advance(next(waits, 0.0))

    return before_answer
