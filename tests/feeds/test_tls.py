"""A broker that encrypts: its certificate is checked against a CA, by OpenSSL's own tools."""

import asyncio
import shutil
import sqlite3
import ssl
import subprocess
from pathlib import Path

import aiomqtt
import pytest

from curedash.store.work import By
from tests.feeds.conftest import Mosquitto
from tests.feeds.test_broker import listening, make, reading, until

pytestmark = pytest.mark.external("mosquitto", "openssl")


def openssl(folder: Path, *words: str) -> None:
    program = shutil.which("openssl") or "openssl"
    subprocess.run([program, *words], cwd=folder, check=True, capture_output=True)


def authority(folder: Path, name: str) -> Path:
    """A CA of one's own; its certificate."""
    openssl(
        folder,
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "2",
        "-subj",
        f"/CN={name}",
        "-keyout",
        f"{name}.key",
        "-out",
        f"{name}.crt",
    )
    return folder / f"{name}.crt"


def certificate(folder: Path, ca: Path, name: str, *, days: int = 2) -> tuple[Path, Path]:
    """A certificate for the broker at an address or name, signed by a CA, and its key."""
    names = f"IP:{name}" if name[0].isdigit() else f"DNS:{name}"
    (folder / "names").write_text(f"subjectAltName={names}\n")
    openssl(
        folder,
        "req",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-subj",
        f"/CN={name}",
        "-keyout",
        "broker.key",
        "-out",
        "broker.csr",
    )
    openssl(
        folder,
        "x509",
        "-req",
        "-in",
        "broker.csr",
        "-CA",
        str(ca),
        "-CAkey",
        str(ca.with_suffix(".key")),
        "-CAcreateserial",
        "-days",
        str(days),
        "-extfile",
        "names",
        "-out",
        "broker.crt",
    )
    return folder / "broker.crt", folder / "broker.key"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "tls"
    made.mkdir()
    return made


def kept(conn: sqlite3.Connection) -> int:
    return int(conn.execute("SELECT count(*) FROM reading").fetchone()[0])


async def test_a_certificate_of_the_ca_is_accepted_and_readings_arrive(
    conn: sqlite3.Connection, db_path: str, by: By, folder: Path
) -> None:
    ca = authority(folder, "household-ca")
    broker = Mosquitto(folder, certificate=certificate(folder, ca, "127.0.0.1"))
    broker.start()
    try:
        said: list[str] = []
        listener = make(conn, db_path, by, broker.port, said, tls=True, ca_file=str(ca))
        async with listening(listener):
            await until(lambda: listener.counted.connections == 1)
            context = ssl.create_default_context(cafile=str(ca))
            context.verify_flags &= ~ssl.VERIFY_X509_STRICT  # the default from Python 3.13 on
            async with aiomqtt.Client("127.0.0.1", broker.port, tls_context=context) as client:
                await client.publish(*reading(1), qos=1)
            await until(lambda: listener.counted.stored == 1)
    finally:
        broker.stop()
    assert kept(conn) == 1
    assert said == [f"Listening to 127.0.0.1:{broker.port}."]


async def refusal(conn: sqlite3.Connection, db_path: str, by: By, port: int, **plan: object) -> str:
    """The one sentence that is said, however often it is tried."""
    said: list[str] = []
    listener = make(conn, db_path, by, port, said, tls=True, **plan)
    async with listening(listener):
        await until(lambda: bool(said))
        await asyncio.sleep(0.5)
    assert listener.counted.connections == 0
    (sentence,) = said
    assert "\n" not in sentence
    return sentence


async def test_another_ca_is_refused_in_one_clear_sentence(
    conn: sqlite3.Connection, db_path: str, by: By, folder: Path
) -> None:
    ca, other = authority(folder, "household-ca"), authority(folder, "another-ca")
    broker = Mosquitto(folder, certificate=certificate(folder, ca, "127.0.0.1"))
    broker.start()
    try:
        sentence = await refusal(conn, db_path, by, broker.port, ca_file=str(other))
        unknown = await refusal(conn, db_path, by, broker.port)
    finally:
        broker.stop()
    assert sentence == (
        "127.0.0.1: its certificate is not signed by that CA; give the one that signed it with"
        " --ca-file; trying again."
    )
    assert unknown == sentence.replace("by that CA", "by a CA this machine knows")


async def test_a_certificate_for_another_machine_or_out_of_date_is_said(
    conn: sqlite3.Connection, db_path: str, by: By, folder: Path
) -> None:
    ca = authority(folder, "household-ca")
    broker = Mosquitto(folder, certificate=certificate(folder, ca, "192.0.2.7"))
    broker.start()
    try:
        sentence = await refusal(conn, db_path, by, broker.port, ca_file=str(ca))
    finally:
        broker.stop()
    assert "certificate is for another name" in sentence
    (folder / "old").mkdir()
    broker = Mosquitto(folder, certificate=certificate(folder, ca, "127.0.0.1", days=-1))
    broker.start()
    try:
        sentence = await refusal(conn, db_path, by, broker.port, ca_file=str(ca))
    finally:
        broker.stop()
    assert "certificate is out of date" in sentence


async def test_a_broker_that_does_not_encrypt_is_said(
    conn: sqlite3.Connection, db_path: str, by: By, folder: Path, broker: Mosquitto
) -> None:
    ca = authority(folder, "household-ca")
    sentence = await refusal(conn, db_path, by, broker.port, ca_file=str(ca))
    assert "no TLS on this port" in sentence


@pytest.mark.parametrize("content", [None, "no certificate"])
async def test_a_ca_file_that_is_none_is_named(
    conn: sqlite3.Connection,
    db_path: str,
    by: By,
    folder: Path,
    broker: Mosquitto,
    content: str | None,
) -> None:
    path = folder / "ca.crt"
    if content is not None:
        path.write_text(content)
    sentence = await refusal(conn, db_path, by, broker.port, ca_file=str(path))
    assert str(path) in sentence
    assert "rrno" not in sentence
