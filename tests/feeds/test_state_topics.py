"""The state of a household on a real broker: what is published, kept, announced and cleared."""

import asyncio
import json
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import aiomqtt
import jsonschema
import pytest

from curedash.cli.json_schema import schema_text
from curedash.domain.errors import FileTrouble, Refused, UsageError
from curedash.feeds.plan import SETTING, Mapped, Plan, Unconfirmed, save
from curedash.feeds.state_topics import StatePublisher
from curedash.store import settings
from curedash.store.work import By, change
from tests.airy import Cellar, steady
from tests.feeds.conftest import Mosquitto

pytestmark = pytest.mark.external("mosquitto")

START = datetime(2026, 11, 1, tzinfo=UTC)


def retained(port: int) -> dict[str, str]:
    """Everything the broker keeps, as a new client is given it."""

    async def read() -> dict[str, str]:
        found: dict[str, str] = {}
        async with aiomqtt.Client("127.0.0.1", port) as client:
            await client.subscribe("#", qos=1)
            await client.publish("end-of-test", b"x")
            async for message in client.messages:
                if str(message.topic) == "end-of-test":
                    return found
                assert message.retain
                found[str(message.topic)] = bytes(message.payload).decode()
        raise AssertionError

    return asyncio.run(read())


@pytest.fixture
def cellar(conn: sqlite3.Connection, by: By, broker: Mosquitto) -> Cellar:
    """Two lots in a cellar with a sensor, and the broker kept in the file."""
    made = Cellar(conn, START, name="Cellar <1>/#+")
    made.lot("C1", "drying")
    made.lot("C2", "in-cure")
    made.pass_time(6, steady(5.6))
    save(conn, by, Plan("127.0.0.1", [Mapped("cellar/climate", "Cellar <1>/#+")], broker.port))
    return made


@pytest.fixture
def publisher(cellar: Cellar, db_path: str) -> Callable[..., StatePublisher]:
    """A publisher as one run of the watcher makes it."""
    return lambda **more: StatePublisher(cellar.conn, db_path, **more)


def test_lots_places_and_needs_are_kept_by_the_broker(
    cellar: Cellar, publisher: Callable[..., StatePublisher], broker: Mosquitto
) -> None:
    publisher().publish(cellar.conn, cellar.now)
    kept = {topic: json.loads(body) for topic, body in retained(broker.port).items()}
    place = f"curedash/place/{cellar.place.id}/state"
    assert set(kept) == {
        "curedash/needs/state",
        "curedash/lot/C1/state",
        "curedash/lot/C2/state",
        place,
    }
    assert kept["curedash/lot/C1/state"]["stage"] == "drying"
    assert kept[place]["place"] == "Cellar <1>/#+"
    assert kept[place]["last"]["temp_c"] == pytest.approx(5.6, abs=0.5)
    needs = kept["curedash/needs/state"]
    assert needs["act"] + needs["today"] == len(needs["needs"])
    schema = json.loads(schema_text())
    for lot in ("C1", "C2"):
        validate(schema, "lots", kept[f"curedash/lot/{lot}/state"])
    validate(schema, "air-last", kept[place])


def validate(schema: dict, name: str, document: object) -> None:
    """Against the part of the published schema that describes it."""
    part = {"$ref": f"#/$defs/{name}", "$defs": schema["$defs"]}
    jsonschema.validate([document], part)


def test_what_is_no_longer_open_is_cleared_even_by_the_next_run(
    cellar: Cellar, publisher: Callable[..., StatePublisher], broker: Mosquitto
) -> None:
    publisher(announce="homeassistant").publish(cellar.conn, cellar.now)
    assert "homeassistant/sensor/curedash_lot_C2_loss/config" in retained(broker.port)
    cellar.conn.execute("UPDATE lot SET stage = 'discarded' WHERE code = 'C2'")
    publisher(announce="homeassistant").publish(cellar.conn, cellar.now)
    left = retained(broker.port)
    assert "curedash/lot/C1/state" in left
    assert [topic for topic in left if "C2" in topic] == []


def test_another_household_on_the_same_broker_is_left_alone(
    cellar: Cellar, publisher: Callable[..., StatePublisher], broker: Mosquitto
) -> None:
    publisher(base="attic", announce="homeassistant").publish(cellar.conn, cellar.now)
    before = retained(broker.port)
    publisher(announce="homeassistant").publish(cellar.conn, cellar.now)
    cellar.conn.execute("UPDATE lot SET stage = 'discarded'")
    publisher(announce="homeassistant").publish(cellar.conn, cellar.now)
    left = retained(broker.port)
    assert {topic: left[topic] for topic in before} == before


def test_announcements_name_topic_value_unit_and_device(
    cellar: Cellar, publisher: Callable[..., StatePublisher], broker: Mosquitto
) -> None:
    publisher(announce="homeassistant", every_s=300).publish(cellar.conn, cellar.now)
    kept = {topic: json.loads(body) for topic, body in retained(broker.port).items()}
    told = {t: d for t, d in kept.items() if t.startswith("homeassistant/")}
    assert len({one["unique_id"] for one in told.values()}) == len(told) == 2 + 2 * 4 + 2
    for about in told.values():
        document = kept[about["state_topic"]]
        field = about["value_template"].removeprefix("{{ value_json.").removesuffix(" }}")
        for name in field.split("."):
            assert name in document
            document = document[name]
        assert about["expire_after"] == 1500
    loss = told["homeassistant/sensor/curedash_lot_C1_loss/config"]
    assert (loss["unit_of_measurement"], loss["device"]["name"]) == ("%", "C1 Test")


def test_a_broker_that_is_away_is_one_sentence_and_the_next_time_is_whole(
    cellar: Cellar, publisher: Callable[..., StatePublisher], broker: Mosquitto
) -> None:
    kept = publisher()
    broker.stop(kill=True)
    with pytest.raises(FileTrouble, match=r"^Cannot publish to 127\.0\.0\.1: "):
        kept.publish(cellar.conn, cellar.now)
    broker.start()
    kept.publish(cellar.conn, cellar.now + timedelta(minutes=1))
    assert "curedash/lot/C1/state" in retained(broker.port)


def test_nothing_is_published_to_a_broker_that_only_the_file_names(
    cellar: Cellar, publisher: Callable[..., StatePublisher], broker: Mosquitto
) -> None:
    """Somebody else's file must not make this machine connect anywhere."""
    body = json.loads(settings.get(cellar.conn, SETTING) or "")
    body["host"] = "localhost"
    with change(cellar.conn, cellar.by(), "set", subject=SETTING) as work:
        settings.put(work, SETTING, json.dumps(body))
    with pytest.raises(Unconfirmed):
        publisher()
    assert retained(broker.port) == {}


def test_a_file_without_a_broker_says_how_to_keep_one(
    conn: sqlite3.Connection, db_path: str
) -> None:
    with pytest.raises(Refused, match="curedash air listen --broker HOST"):
        StatePublisher(conn, db_path)


@pytest.mark.parametrize("topic", ["", "a/#", "+", "a//b", "$SYS", "a b", "/a"])
def test_a_base_that_is_no_topic_is_refused(
    topic: str, publisher: Callable[..., StatePublisher]
) -> None:
    with pytest.raises(UsageError, match="not a topic"):
        publisher(base=topic)
