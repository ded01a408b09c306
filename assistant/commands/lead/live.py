"""The live session for a command: microphone, loudspeaker and keyboard put together."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant import catalog
from assistant.commands.lead.voice import make_voice
from assistant.commands.terminal import echo, has_chat, is_terminal
from assistant.errors import OperatorError
from assistant.inputs.console import LineKeyboard, own_standard_input
from assistant.inputs.ports import Keyboard
from assistant.setup.model import ModelIdentity, identity, model_folder
from assistant.tts.voice import Voice

if TYPE_CHECKING:  # loaded only where a person types at a terminal, or speaks: others need not wait for it
    from assistant.asr.recognizer import Recognizer
    from assistant.inputs.chat import ChatKeyboard
    from assistant.inputs.microphone import LiveListener


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was asked for on the command line."""

    listen: bool | None
    """True: by microphone; False: typed only; None: by microphone at a terminal that has one."""
    headset: bool
    """Our voice cannot reach the microphone."""
    speak: bool | None
    """True: aloud; False: shown only; None: aloud at a terminal, or when listening."""


@dataclass(frozen=True)
class Live:
    """What a live session works with."""

    listener: LiveListener
    voice: Voice | None
    """Speaks, None when it is only shown."""
    chat: ChatKeyboard | None
    """The chat's screen, None where lines are typed plainly."""


def model_used(wishes: Wishes) -> ModelIdentity | None:
    """The model that will be heard with, None for a session that is typed from its beginning.

    Raises:
        OperatorError: it was asked to listen, and there is no model or no microphone.
    """
    if wishes.listen is False:
        return None
    if wishes.listen:
        from assistant.audio.microphone import Microphone

        # opened before the record is created: a session that cannot listen must not leave an empty record
        Microphone().close()
    try:
        return identity(model_folder())
    except OperatorError:
        if wishes.listen:
            raise
        return None


def open_live(stack: ExitStack, now: Callable[[], float], wishes: Wishes, notice: Callable[[str], None]) -> Live:
    """Put it together; everything is closed with the stack.

    Raises:
        OperatorError: it was asked to listen, and that cannot be.
    """
    from assistant.inputs.microphone import LiveListener

    vocabulary = catalog.load_vocabulary()
    speaks = wishes.speak if wishes.speak is not None else True
    voice = make_voice(stack, notice) if speaks else None

    def hearing() -> Recognizer:
        from assistant.asr.recognizer import Recognizer

        return stack.enter_context(Recognizer(model_folder(), vocabulary, notice=notice))

    holder: list[LiveListener] = []
    chat = None
    keyboard: Keyboard
    if has_chat():
        from prompt_toolkit.patch_stdout import patch_stdout

        from assistant.inputs.chat import ChatKeyboard

        stack.enter_context(patch_stdout(raw=True))
        chat = keyboard = ChatKeyboard(vocabulary, lambda: holder[0].standing if holder else "off")
    else:
        keyboard = LineKeyboard(own_standard_input(), interactive=is_terminal())
    listener = LiveListener(now, vocabulary, keyboard, hearing, voice, notice, headset=wishes.headset)
    holder.append(listener)
    stack.callback(listener.close)
    if voice is not None:
        voice.interrupted = listener.interrupts
    if wishes.listen is not False:
        try:
            listener.start()
        except OperatorError as error:
            if wishes.listen:
                raise
            notice(f"{error} The session is typed; 'voice on' tries again.")
    return Live(listener, voice, chat)


def tell(text: str) -> None:
    """A remark about the machine, above the line that is typed on."""
    width = max(50, min(100, shutil.get_terminal_size((100, 24)).columns - 1))
    echo("\n".join(textwrap.wrap(f"({text})", width, break_long_words=False)), err=not has_chat())
