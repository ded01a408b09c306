"""Work given to a cluster: the same results as on one machine, also when a worker dies in the middle.

The cluster is a real one, Dask's own: a scheduler and two worker processes on loopback.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from distributed import LocalCluster

from assistant import pool
from assistant.errors import OperatorError
from assistant.records.store.folder import FolderStore
from assistant.simulator.prove import prove
from tests.records.units import play_unit
from tests.simulator.test_prove import trailer


@pytest.fixture(scope="module")
def cluster() -> Iterator[LocalCluster]:
    """Two workers, each a process of its own; one that dies is started anew by Dask's own nanny."""
    with LocalCluster(  # type: ignore[no-untyped-call]
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None, silence_logs=50
    ) as made:
        yield made


def kill_one(cluster: LocalCluster) -> Callable[[int, int], None]:
    """Progress that kills a worker once, when the first result has come."""
    left = [next(iter(cluster.workers.values()))]

    def progress(done: int, total: int) -> None:
        if left:
            os.kill(left.pop().pid, signal.SIGKILL)

    return progress


def test_a_proof_on_a_cluster_is_that_of_one_machine_though_a_worker_dies(
    cluster: LocalCluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.simulator.prove.CHUNK", 5)
    ours = prove(trailer(), runs=5, seed=3, slip=0.02)
    theirs = prove(
        trailer(), runs=5, seed=3, slip=0.02, cluster=cluster.scheduler_address, progress=kill_one(cluster)
    )
    assert theirs == ours
    assert ours.runs == 35


@pytest.mark.sweep
def test_an_index_made_by_a_cluster_is_that_of_one_machine(
    cluster: LocalCluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(2):
        play_unit(tmp_path, ("sensor open", "left rear"), number=f"90{number}")
    monkeypatch.setattr("assistant.records.index.reading.BATCH", 1)
    shop = FolderStore(tmp_path)
    tables = []
    for address in ("", cluster.scheduler_address):
        assert shop.index().rebuild(shop, None, None, address) == 2
        with shop.index().connect() as connection:
            tables.append([connection.exec_driver_sql(f"select * from {one}").fetchall()  # noqa: S608
                           for one in ("sessions", "readings", "repairs", "causes")])  # fmt: skip
    assert tables[0] == tables[1]


def test_a_cluster_that_is_not_there_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool, "PATIENCE_S", 0.2)
    with (
        pytest.raises(OperatorError, match=r"No cluster answers at tcp://127\.0\.0\.1:1\."),
        pool.shared_by(1, "tcp://127.0.0.1:1"),
    ):
        pass
    with pytest.raises(OperatorError, match="No cluster answers at nonsense"), pool.shared_by(1, "nonsense://x"):
        pass


def test_workers_of_another_version_are_refused(cluster: LocalCluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool, "__version__", "9.9")
    with (
        pytest.raises(OperatorError, match="another version of Leadsman"),
        pool.shared_by(1, cluster.scheduler_address),
    ):
        pass
