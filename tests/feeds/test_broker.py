"""Readings from a real broker: killed, restarted, full of rubbish; nothing good is lost."""

import asyncio
import json
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import asynccontextmanager, closing
from datetime import UTC, datetime
from pathlib import Path

import aiomqtt
import pytest

from curedash.domain.errors import Busy, Refused, UsageError
from curedash.feeds.broker import Listener
from curedash.feeds.listening import MOST_BY_WILDCARD, BackgroundFeed, Lock, make_listener
from curedash.feeds.plan import Mapped, Plan, Unconfirmed, confirm_saved, mapped, save, saved
from curedash.services.places import places, sensors
from curedash.store import places as rows
from curedash.store.open import Moved, open_db
from curedash.store.work import By
from tests.feeds.conftest import Mosquitto

pytestmark = pytest.mark.external("mosquitto")

START = int(datetime(2026, 11, 1, tzinfo=UTC).timestamp())
NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
MAPS = [Mapped("cellar/+/climate", "Cellar")]
STILL_S = 30  # nothing moved for so long: it never will


def make(
    conn: sqlite3.Connection,
    db_path: str,
    by: By,
    port: int,
    said: list[str] | None = None,
    maps=MAPS,
    **plan,
) -> Listener:
    if places.find_place(conn, "Cellar") is None:
        places.add_place(conn, by, "Cellar")
    heard = [] if said is None else said
    listener = make_listener(
        conn, lambda: by, Plan("127.0.0.1", maps, port, **plan), db_path, lambda: NOW, heard.append
    )
    object.__setattr__(listener.broker, "first_wait_s", 0.05)
    return listener


@asynccontextmanager
async def listening(listener: Listener):
    task = asyncio.create_task(listener.run())
    try:
        yield task
    finally:
        listener.stop.set()
        await asyncio.wait_for(task, STILL_S)


async def until(done: Callable[[], bool], listener: Listener | None = None) -> None:
    """Wait for it, for as long as the listener goes on: a busy machine is slow, not wrong."""
    seen, end = "", time.monotonic() + STILL_S
    while not done():
        if listener is not None and seen != (seen := str(listener.counted)):
            end = time.monotonic() + STILL_S
        assert time.monotonic() < end, f"nothing came for {STILL_S} s; so far {seen}"
        await asyncio.sleep(0.02)


async def publish(port: int, messages: list[tuple[str, bytes]], *, retain: bool = False) -> None:
    async with aiomqtt.Client("127.0.0.1", port, max_inflight_messages=500) as client:
        client.pending_calls_threshold = 10_000
        for n in range(0, len(messages), 400):
            await asyncio.gather(
                *(
                    client.publish(topic, body, qos=1, retain=retain)
                    for topic, body in messages[n : n + 400]
                )
            )


def reading(n: int) -> tuple[str, bytes]:
    body = {"temperature": 4 + n % 9 / 10, "humidity": 70 + n % 11 / 2, "ts": START + n}
    return "cellar/top/climate", json.dumps(body).encode()


def rubbish(n: int) -> tuple[str, bytes]:
    kinds = [
        b"",
        b"\xff\xfe\x00",
        b"{",
        b"unavailable",
        b'{"temperature": "hot"}',
        b"9" * 9000,
        b'{"battery": 80}',
        b"[1, 2",
        b'{"temperature": 4, "ts": "soon"}',
        b"null",
    ]
    return "cellar/top/climate", kinds[n % len(kinds)]


def kept(conn: sqlite3.Connection) -> list:
    return rows.readings(conn, 1, 0)


def many(conn: sqlite3.Connection) -> int:
    """How many readings are in the file: what comes twice is one."""
    (found,) = conn.execute("SELECT count(*) FROM reading").fetchone()
    return int(found)


async def test_ten_thousand_messages_through_a_killed_broker_and_none_is_lost(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    """One in ten is rubbish; the broker ends and comes back, and once it is killed outright."""
    said: list[str] = []
    listener = make(conn, db_path, by, broker.port, said)
    messages = [rubbish(n // 10) if n % 10 == 9 else reading(n) for n in range(10_000)]
    good = {START + n for n in range(10_000) if n % 10 != 9}
    async with listening(listener):
        await until(lambda: listener.counted.connections == 1, listener)
        await publish(broker.port, messages[:2000])
        warm = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        broker.stop()  # with what is not delivered yet kept by the broker
        broker.start()
        await until(lambda: listener.counted.connections == 2, listener)
        await publish(broker.port, messages[2000:6000])
        await until(lambda: many(conn) == 5400, listener)
        broker.stop(kill=True)  # what it never delivered would be gone with it
        await asyncio.sleep(0.1)
        broker.start()
        await until(lambda: listener.counted.connections == 3, listener)
        await publish(broker.port, messages[6000:])
        await until(lambda: many(conn) == 9000, listener)
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - warm) / 1024
    assert grown_mb < 20
    found = kept(conn)
    assert {r.at for r in found} == good
    assert len(found) == 9000
    assert {r.bad for r in found} == {None}
    assert listener.counted.unreadable >= 1000
    assert len([sentence for sentence in said if "unreadable" in sentence]) <= 2


async def test_what_came_while_nobody_listened_is_delivered_afterwards(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    first = make(conn, db_path, by, broker.port)
    async with listening(first):
        await until(lambda: first.counted.connections == 1)
    await publish(broker.port, [reading(n) for n in range(300)])
    broker.stop()
    broker.start()
    second = make(conn, db_path, by, broker.port)
    async with listening(second):
        await until(lambda: len(kept(conn)) == 300, second)


async def test_a_database_error_is_said_and_the_listener_goes_on(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    said: list[str] = []
    listener = make(conn, db_path, by, broker.port, said)
    async with listening(listener) as task:
        await until(lambda: listener.counted.connections == 1)
        await publish(broker.port, [reading(0)])
        await until(lambda: listener.counted.stored == 1)
        conn.execute("ALTER TABLE sensor RENAME TO sensor_away")
        await publish(broker.port, [reading(1)])
        await until(lambda: any("The broker keeps" in sentence for sentence in said))
        assert not task.done()
        conn.execute("ALTER TABLE sensor_away RENAME TO sensor")
        await until(lambda: len(kept(conn)) == 2)


async def test_nothing_is_acknowledged_before_it_is_on_disk(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    said: list[str] = []
    listener = make(conn, db_path, by, broker.port, said)
    other = sqlite3.connect(db_path, isolation_level=None)
    async with listening(listener):
        await until(lambda: listener.counted.connections == 1)
        conn.execute("PRAGMA busy_timeout = 50")
        other.execute("BEGIN IMMEDIATE")
        await publish(broker.port, [reading(n) for n in range(50)])
        await until(lambda: any("writing to the file" in sentence for sentence in said))
    other.execute("ROLLBACK")
    other.close()
    assert listener.counted.stored < 50
    again = make(conn, db_path, by, broker.port)
    async with listening(again):
        await until(lambda: len(kept(conn)) == 50, again)


async def test_a_retained_message_is_new_only_if_its_own_time_says_so(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    await publish(broker.port, [("cellar/a/climate", b"3.5 78")], retain=True)
    await publish(broker.port, [("cellar/b/climate", b"2026-11-20T07:30:00Z,3.5,78")], retain=True)
    listener = make(conn, db_path, by, broker.port)
    async with listening(listener):
        await until(lambda: len(kept(conn)) == 1 and listener.counted.old == 1)
        await publish(broker.port, [("cellar/a/climate", b"3.6 77")])
        await until(lambda: len(kept(conn)) == 2)
    old, new = kept(conn)
    assert old.at == int(datetime(2026, 11, 20, 7, 30, tzinfo=UTC).timestamp())
    assert new.at == int(NOW.timestamp())


async def test_each_topic_is_a_sensor_of_its_own_and_its_place_is_watched(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    maps = [Mapped("a/temp", "Cellar"), Mapped("a/rh", "Cellar", "rh")]
    listener = make(conn, db_path, by, broker.port, maps=maps, unit="F")
    async with listening(listener):
        await until(lambda: listener.counted.connections == 1)
        await publish(broker.port, [("a/temp", b"41"), ("a/rh", b"71")])
        await until(lambda: len(kept(conn)) == 2)
    place = places.require_place(conn, "Cellar")
    assert place.watch == "sensor"
    assert [s.name for s in sensors.sensors_of(conn, place)] == ["a/temp", "a/rh"]
    assert [(r.temp_c, r.rh_pct) for r in kept(conn)] == [(5.0, None), (None, 71.0)]


async def test_a_password_comes_from_a_file_and_a_wrong_one_is_said_and_tried_again(
    conn: sqlite3.Connection, db_path: str, by: By, tmp_path: Path
) -> None:
    folder, secret = tmp_path / "locked", tmp_path / "secret"
    folder.mkdir()
    secret.write_text("wrong\n")
    locked = Mosquitto(folder, password=("cook", "salt & pepper"))
    locked.start()
    said: list[str] = []
    listener = make(conn, db_path, by, locked.port, said, user="cook", password_file=str(secret))
    try:
        async with listening(listener):
            await until(lambda: any("trying again" in sentence for sentence in said))
            secret.write_text("salt & pepper\nsecond line\n")
            await until(lambda: listener.counted.connections == 1)
    finally:
        locked.stop()
    assert not any("pepper" in sentence for sentence in said)


async def test_no_broker_is_said_once_and_waited_for(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    broker.stop()
    said: list[str] = []
    listener = make(conn, db_path, by, broker.port, said)
    async with listening(listener):
        await asyncio.sleep(0.6)
        assert len(said) == 1
        broker.start()
        await until(lambda: listener.counted.connections == 1)


def test_the_dashboard_listens_in_a_thread_unless_a_service_does(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    places.add_place(conn, by, "Cellar")
    save(conn, by, Plan("127.0.0.1", MAPS, broker.port))
    said: list[str] = []
    feed = BackgroundFeed(db_path, lambda: by, lambda: NOW, said.append)
    feed.start()
    end = time.monotonic() + STILL_S
    while not said and time.monotonic() < end:
        time.sleep(0.02)
    assert said == [f"Listening to 127.0.0.1:{broker.port}."]
    with pytest.raises(Busy):
        Lock(db_path).take()
    asyncio.run(publish(broker.port, [reading(0)]))
    while not kept(conn) and time.monotonic() < end:
        time.sleep(0.02)
    feed.stop()
    assert len(kept(conn)) == 1
    lock = Lock(db_path)
    lock.take()
    turned_away = BackgroundFeed(db_path, lambda: by, lambda: NOW, said.append)
    turned_away.start()
    turned_away.stop()
    lock.release()
    assert len(said) == 1


def test_a_plan_is_kept_in_the_file_without_the_password(conn, by) -> None:
    assert saved(conn) is None
    plan = Plan("192.0.2.7", MAPS, 8883, "cook", "/etc/secret", True, unit="F")
    save(conn, by, plan)
    found = saved(conn)
    assert found is not None
    assert (found.host, found.maps, found.unit, found.tls) == ("192.0.2.7", MAPS, "F", True)
    conn.execute("UPDATE setting SET value = '{}' WHERE name = 'air-feed'")
    with pytest.raises(Refused, match="give it again"):
        saved(conn)


def test_a_strangers_file_starts_no_connection(
    conn: sqlite3.Connection, db_path: str, by: By, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its broker is a listening socket of ours, its password file one of this person's."""
    import socket

    secret = tmp_path / "secret"
    secret.write_text("not for strangers\n")
    places.add_place(conn, by, "Cellar")
    with socket.create_server(("127.0.0.1", 0)) as stranger:
        stranger.settimeout(0.5)
        port = stranger.getsockname()[1]
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "theirs"))
        save(conn, by, Plan("127.0.0.1", MAPS, port, "cook", str(secret)))
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "mine"))
        said: list[str] = []
        feed = BackgroundFeed(db_path, lambda: by, lambda: NOW, said.append)
        feed.start()
        feed.stop()
        with pytest.raises(TimeoutError):
            stranger.accept()
    (sentence,) = said
    assert f"127.0.0.1:{port}" in sentence
    assert str(secret) in sentence
    assert "air listen --confirm" in sentence
    with pytest.raises(Unconfirmed):
        saved(conn)
    confirm_saved(conn)
    assert saved(conn) is not None
    other = json.loads(
        conn.execute("SELECT value FROM setting WHERE name = 'air-feed'").fetchone()[0]
    )
    other["host"] = "192.0.2.9"
    conn.execute("UPDATE setting SET value = ? WHERE name = 'air-feed'", (json.dumps(other),))
    with pytest.raises(Unconfirmed):
        saved(conn)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("port", "1883"),
        ("port", 70_000),
        ("host", 7),
        ("password_file", ["x"]),
        ("tls", "no"),
        ("unit", "K"),
        ("user", {}),
    ],
)
def test_a_plan_of_another_kind_is_unreadable(conn, by, key: str, value: object) -> None:
    save(conn, by, Plan("192.0.2.7", MAPS))
    (text,) = conn.execute("SELECT value FROM setting WHERE name = 'air-feed'").fetchone()
    conn.execute(
        "UPDATE setting SET value = ? WHERE name = 'air-feed'",
        (json.dumps(json.loads(text) | {key: value}),),
    )
    with pytest.raises(Refused, match="unreadable"):
        saved(conn)


@pytest.mark.parametrize("text", ["", "topic", "=Cellar", "a/b=", "a+/b=Cellar", "a/#/b=Cellar"])
def test_a_map_without_topic_or_place_is_refused(text: str) -> None:
    with pytest.raises(UsageError):
        mapped(text)


def test_a_map_may_hold_signs() -> None:
    assert mapped("a/b=c/#=Fridge 2") == Mapped("a/b=c/#", "Fridge 2")


def test_the_command_killed_outright_loses_nothing_and_ends_cleanly_when_asked(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    places.add_place(conn, by, "Cellar")
    words = [sys.executable, "-m", "curedash", "--db", db_path, "air", "listen"]
    given = [
        "--broker",
        "127.0.0.1",
        "--port",
        str(broker.port),
        "--map",
        "cellar/+/climate=Cellar",
        "--save",
    ]

    def start(*more: str) -> subprocess.Popen[str]:
        process = subprocess.Popen([*words, *more], stderr=subprocess.PIPE, text=True)
        assert process.stderr is not None
        while not (line := process.stderr.readline()).startswith("Listening"):
            assert line, process.wait(5)
        return process

    first = start(*given)
    asyncio.run(publish(broker.port, [reading(n) for n in range(400)]))
    first.kill()
    first.wait(5)
    asyncio.run(publish(broker.port, [reading(n) for n in range(400, 800)]))
    second = start()
    end = time.monotonic() + STILL_S
    while len(kept(conn)) < 800 and time.monotonic() < end:
        time.sleep(0.05)
    second.terminate()
    _, said = second.communicate(timeout=10)
    assert second.returncode == 0
    assert len(kept(conn)) == 800
    assert "readings saved, 0 unreadable" in said


async def test_a_wildcard_makes_sensors_up_to_a_bound(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    """Whoever may publish below the wildcard could fill the file with sensors."""
    said: list[str] = []
    listener = make(conn, db_path, by, broker.port, said, maps=[Mapped("cellar/#", "Cellar")])
    body = reading(0)[1]
    async with listening(listener):
        await until(lambda: listener.counted.connections == 1)
        await publish(broker.port, [(f"cellar/{n}", body) for n in range(MOST_BY_WILDCARD + 20)])
        await until(lambda: listener.counted.unreadable == 20, listener)
    assert conn.execute("SELECT count(*) FROM sensor").fetchone() == (MOST_BY_WILDCARD,)
    assert any("+ and # add no more" in sentence for sentence in said)
    assert len(listener._clocks) == MOST_BY_WILDCARD
    named = make(conn, db_path, by, broker.port, said, maps=[Mapped("cellar/99", "Cellar")])
    async with listening(named):
        await until(lambda: named.counted.connections == 1)
        await publish(broker.port, [("cellar/99", body)])
        await until(lambda: named.counted.stored == 1)


async def test_the_listener_ends_when_its_file_is_replaced(
    conn: sqlite3.Connection, db_path: str, by: By, broker: Mosquitto
) -> None:
    """What is not stored is not acknowledged: it stays with the broker and comes again."""
    listener = make(conn, db_path, by, broker.port)
    task = asyncio.create_task(listener.run())
    await until(lambda: listener.counted.connections == 1)
    conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
    shutil.copy(db_path, db_path + ".new")
    os.replace(db_path + ".new", db_path)
    for ending in ("-wal", "-shm"):
        os.remove(db_path + ending)
    await publish(broker.port, [reading(0)])
    with pytest.raises(Moved):
        await asyncio.wait_for(task, STILL_S)
    with closing(open_db(db_path)) as anew:
        again = make(anew, db_path, by, broker.port)
        async with listening(again):
            await until(lambda: again.counted.stored >= 1)
        assert len(kept(anew)) == 1
