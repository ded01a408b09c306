"""A private PostgreSQL for the tests of records in it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from assistant.records.store.postgresql import DatabaseStore, open_database
from assistant.records.store.postgresql_connection import ImpatientConnection
from tests.records.cluster import Cluster, private_cluster


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    yield from private_cluster()


@pytest.fixture
def store(cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[DatabaseStore]:
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    ImpatientConnection.silent_at = -1e9
    aside = create_engine(cluster.address.replace("postgresql:", "postgresql+psycopg:"))
    with aside.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    aside.dispose()
    made = open_database(tmp_path / "local")
    yield made
    made.engine.dispose()
