"""One session on the page: its thread, its listener and its feed. Many run side by side in one process."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable

from assistant.display.view import summary
from assistant.errors import LeadsmanError, OperatorError
from assistant.phrasing.phrase import Sentence
from assistant.phrasing.wording import ending_words
from assistant.web.answers import PageListener
from assistant.web.feed import Feed
from assistant.web.ports import Opened
from assistant.web.teller import PageTeller

MOST_RUNNING = 16
"""Sessions that one machine runs at a time."""
OVER_KEPT = 8
"""Sessions that have ended and are still kept for the screens that watched them."""
_JOIN_SECONDS = 5.0


class SessionWorker:
    """One session at work."""

    def __init__(self, opened: Opened) -> None:
        self.id = opened.id
        """Identity of the session."""
        self.epoch = secrets.token_hex(8)
        """Identifies this run of the session: after a restart message numbers start over."""
        self.feed = Feed()
        """What the screens are told."""
        self.listener = PageListener(opened.now)
        """Where answers go."""
        self.ending = ""
        """How it ended, '' while it runs."""
        self.vocabulary = opened.context.vocabulary
        """What people say."""
        self.keeps_sound = opened.keeps_sound
        """True when the sound of accepted answers is kept."""
        self._opened = opened
        self._away = False
        for past in opened.past:
            self.feed.add("talk", at=past.at, who=past.who, text=past.text, spoken="", past=True)
        teller = PageTeller(
            opened.context, opened.now, self.feed, self.listener, lambda: self.loop.state, opened.answered
        )
        self.loop = opened.make_loop(self.listener, teller)
        for told in opened.told:
            teller.say(opened.now(), Sentence(told, told))
        self._thread = threading.Thread(target=self._run, name=f"leadsman-worker-{opened.id}", daemon=True)

    def now(self) -> float:
        """Seconds since the session began."""
        return self._opened.now()

    @property
    def unwritten(self) -> bool:
        """True while an entry waits to be written."""
        return self.loop.state.pending is not None

    @property
    def minutes(self) -> float:
        """Minutes in the session, by its own clock."""
        return self.now() / 60

    @property
    def running(self) -> bool:
        """True until it is over."""
        return not self.ending

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def close(self, *, away: bool = False) -> None:
        """Leave the session where it is; its record is kept, and the session can be resumed.

        Args:
            away: True where the machine closes: nobody set this session aside, so its screens are not told so. They
                take it up again when the machine is back.
        """
        self._away = self._away or away
        self.listener.close(away=away)

    def join(self) -> None:
        """Wait until its thread has released the record."""
        if self._thread.is_alive():
            self._thread.join(_JOIN_SECONDS)

    def _run(self) -> None:
        text = ""
        try:
            ending = self.loop.run(self._opened.opening)
            text = "\n".join(self._opened.after(ending)) or summary(self._opened.context, self.loop.state)
        except LeadsmanError as error:
            ending, text = "left", str(error)
        except Exception as error:  # noqa: BLE001 - a fault of ours ends this session, not the others
            ending = "left"
            text = f"The session met a fault of the program's own ({type(error).__name__}). What was logged is kept."
        self.listener.close()
        self._opened.close()
        self.ending = ending
        if not (self._away and ending == "left"):
            self.feed.stand("over", ending=ending, ended=ending_words(ending), text=text, id=self.id)


class SessionWorkers:
    """Every session that this process runs."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._opening = threading.Lock()  # opening reads files; looking a worker up must not wait for that
        self._workers: OrderedDict[str, SessionWorker] = OrderedDict()
        self._made: OrderedDict[str, str] = OrderedDict()
        self._closed = False

    def find(self, session_id: str) -> SessionWorker | None:
        """The worker of a session, None when the session is not open here."""
        with self._lock:
            return self._workers.get(session_id)

    def running(self) -> list[SessionWorker]:
        """Workers whose session runs, the newest first."""
        with self._lock:
            return [worker for worker in reversed(self._workers.values()) if worker.running]

    def made(self, key: str) -> bool:
        """True when a session was opened with this key before."""
        with self._lock:
            return key in self._made

    def open(self, key: str, make: Callable[[], Opened], session_id: str = "") -> SessionWorker:
        """Open a session. The same key again gives the same worker: a request that was sent twice opens one session.

        Args:
            key: of the request.
            make: opens it.
            session_id: the session to be taken up; one that runs is given to every screen that asks at once.

        Raises:
            OperatorError: too many are open, or the session cannot be opened.
        """
        with self._opening:
            with self._lock:
                known = self._workers.get(self._made.get(key, ""))
                taken_up = self._workers.get(session_id)
                if known is None and taken_up is not None and taken_up.running:
                    known = taken_up
                if known is not None:
                    return known
                if self._closed:
                    raise OperatorError("Leadsman is closing.")
                if sum(worker.running for worker in self._workers.values()) >= MOST_RUNNING:
                    raise OperatorError(
                        f"{MOST_RUNNING} sessions are open on this machine already.", remedy="Set one aside first."
                    )
            worker = SessionWorker(make())
            with self._lock:
                self._workers[worker.id] = worker
                self._workers.move_to_end(worker.id)
                self._made[key] = worker.id
                self._trim()
                worker.start()
                if self._closed:
                    worker.close(away=True)
            return worker

    def close(self) -> None:
        """Leave every session where it is."""
        with self._lock:
            self._closed = True
            workers = list(self._workers.values())
        for worker in workers:
            worker.close(away=True)
        for worker in workers:
            worker.join()

    def _trim(self) -> None:
        over = [worker.id for worker in self._workers.values() if not worker.running]
        for session_id in over[: max(0, len(over) - OVER_KEPT)]:
            del self._workers[session_id]
        while len(self._made) > 4 * MOST_RUNNING:
            self._made.popitem(last=False)
