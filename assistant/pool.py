"""Work shared by several processes of this machine, or by the machines of a cluster, behind the standard executor."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any

from assistant import __version__
from assistant.errors import OperatorError

if TYPE_CHECKING:
    from distributed import Client

PATIENCE_S = 5
"""Seconds in which a cluster must answer."""
AGAIN = 4
"""Times a piece of work is given to another worker when its own is lost."""


@contextlib.contextmanager
def shared_by(workers: int, cluster: str = "") -> Iterator[Executor]:
    """An executor; leaving it in the middle drops what is not begun.

    Args:
        workers: processes on this machine.
        cluster: address of a Dask scheduler, such as ``tcp://10.0.0.5:8786``, whose workers do it instead; ``""``:
            this machine does.

    Raises:
        OperatorError: the cluster does not answer, has no workers, or has another version of this program; a worker
            was lost too often in the middle.
    """
    if cluster:
        with _client(cluster) as client:
            from distributed.scheduler import KilledWorker  # only where _client has found the package

            executor = client.get_executor(retries=AGAIN)  # type: ignore[no-untyped-call]
            try:
                yield executor
            except (KilledWorker, OSError) as error:
                raise OperatorError(f"The cluster at {cluster} broke off: {str(error).rstrip('.')}.") from None
            finally:
                executor.shutdown(wait=False)
        return
    # fresh processes: a fork would carry over open databases and the recognizer's threads
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as executor:
        try:
            yield executor
        finally:
            executor.shutdown(wait=True, cancel_futures=True)


@contextlib.contextmanager
def _client(cluster: str) -> Iterator[Client]:
    try:
        from distributed import Client
    except ImportError:
        raise OperatorError(
            "A cluster needs the package distributed, and it is missing.",
            remedy="Run: pip install 'leadsman[cluster]'",
        ) from None
    try:
        client = Client(cluster, timeout=PATIENCE_S, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, ValueError, TimeoutError):
        raise OperatorError(
            f"No cluster answers at {cluster}.", remedy="Start dask-scheduler and dask-worker there, or leave it out."
        ) from None
    with client:
        _same_everywhere(client, cluster)
        yield client


def _same_everywhere(client: Any, cluster: str) -> None:
    """One version, since results of two need not be equal."""
    try:
        versions = client.run(_version)
    except (ImportError, AttributeError):  # what a worker without this module says
        versions = {"": "none"}
    if not versions:
        raise OperatorError(f"The cluster at {cluster} has no workers.", remedy="Start dask-worker on its machines.")
    if others := sorted({version for version in versions.values() if version != __version__}):
        raise OperatorError(
            f"The workers at {cluster} have another version of Leadsman ({', '.join(others)}; here {__version__}).",
            remedy=f"Install leadsman {__version__} on each of them.",
        )


def _version() -> str:
    return __version__
