"""Ledgers in both databases: the same tests for them. Without a server its half is skipped."""

import pytest
from hypothesis import HealthCheck, settings

from rasterc.ledger import Ledger
from tests.ledger import server as servers

slow = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
settings.register_profile("ledger", deadline=None, suppress_health_check=slow)
settings.load_profile("ledger")


@pytest.fixture(scope="session")
def server():
    """A PostgreSQL server."""
    pytest.importorskip("psycopg")
    try:
        made = servers.made()
    except LookupError as error:
        pytest.skip(str(error))
    yield made
    servers.ended(made)


def emptied(url: str) -> str:
    """The address of a database without a ledger."""
    import psycopg

    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute("drop schema if exists rasterc_ledger cascade")
    return url


@pytest.fixture(params=["sqlite", "wal", "postgres"])
def where(request, tmp_path):
    """A new ledger, in each of the databases."""
    if request.param == "postgres":
        place = emptied(request.getfixturevalue("server").url)
    else:
        place = str(tmp_path / "plant.ledger")
    Ledger.create(place, wal=request.param == "wal")
    return place
