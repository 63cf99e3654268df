"""Matches computed beside the page, one at a time, so that nothing freezes."""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from loosewell.errors import Refusal
from loosewell.faces import wording
from loosewell.workshop import ask
from loosewell.workshop.answer import MatchAnswer

_KEPT = 32
_log = logging.getLogger(__name__)


@dataclass
class Job:
    """One match being computed or done; read it at any time."""

    stage: str = "Waiting for the engine"
    share: float = 0.0
    answer: MatchAnswer | None = None
    trouble: str | None = None
    refused: bool = False

    @property
    def done(self) -> bool:
        """Whether there is an answer or a sentence that says why not."""
        return self.answer is not None or self.trouble is not None


class Bench:
    """The jobs of one running page, by the key of their question."""

    def __init__(self, engine: ask.Engine | None = None) -> None:
        self._engine = engine
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = threading.Lock()
        self._hands = ThreadPoolExecutor(max_workers=1, thread_name_prefix="match")

    def job(self, gathered: ask.Gathered) -> Job:
        """The job of a question: the one there is, or a new one begun.

        A job that ended in trouble is begun again: the trouble may be mended.
        """
        with self._lock:
            known = self._jobs.get(gathered.key)
            if known is not None:
                self._jobs.move_to_end(gathered.key)
                return known
            job = self._jobs[gathered.key] = Job()
            done = [key for key, one in self._jobs.items() if one.done]
            for key in done[: max(0, len(self._jobs) - _KEPT)]:
                del self._jobs[key]
        self._hands.submit(self._run, gathered, job)
        return job

    def find(self, key: str) -> Job | None:
        """The job of a key, if it is still known."""
        with self._lock:
            return self._jobs.get(key)

    def forget(self, key: str) -> None:
        """Nothing kept under a key, so that the next asking begins anew."""
        with self._lock:
            self._jobs.pop(key, None)

    def close(self) -> None:
        """No further jobs; the one in hand ends by itself."""
        self._hands.shutdown(wait=False, cancel_futures=True)

    def _run(self, gathered: ask.Gathered, job: Job) -> None:
        def progress(stage: str, share: float) -> None:
            job.stage, job.share = wording.stage(stage), min(max(share, 0.0), 1.0)

        try:
            job.answer = ask.answer(gathered, progress, self._engine)
        except Refusal as refusal:
            job.refused = True
            job.trouble = refusal.message
        except Exception:  # noqa: BLE001 - told on the page, written to the log
            _log.exception("the match failed")
            job.trouble = (
                "The engine stopped with a fault of its own; the records are untouched. What "
                "happened stands where the program was started. Ask again, or change an input."
            )
