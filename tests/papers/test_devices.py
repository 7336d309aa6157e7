"""What is no ordinary file is written into, never replaced: a device, a pipe, standard output."""

import os
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from curedash.domain.errors import FileTrouble
from curedash.papers.files import write_file
from curedash.store import naming

WORDS = {
    "export": ["export", "--output"],
    "metrics": ["check", "--metrics"],
    "calendar": ["calendar", "--format", "ics", "--output"],
}


def test_a_pipe_is_written_into_and_stays_a_pipe(tmp_path):
    pipe = str(tmp_path / "pipe")
    os.mkfifo(pipe)
    read = []

    def listen() -> None:
        with open(pipe, "rb") as end:
            listening.set()
            read.append(end.read())

    listening = threading.Event()
    keep = os.open(pipe, os.O_RDWR)  # somebody has it open from the first moment
    reader = threading.Thread(target=listen)
    reader.start()
    listening.wait(10)
    write_file(pipe, "1071 g\n")
    os.close(keep)
    reader.join(10)
    assert read == [b"1071 g\n"]
    assert stat.S_ISFIFO(os.stat(pipe).st_mode)
    assert os.listdir(tmp_path) == ["pipe"]


def test_a_pipe_nobody_reads_is_refused_at_once_and_stays(tmp_path):
    pipe = str(tmp_path / "pipe")
    os.mkfifo(pipe)
    with pytest.raises(FileTrouble, match="Cannot write"):
        write_file(pipe, "1071 g\n")
    assert stat.S_ISFIFO(os.stat(pipe).st_mode)


@pytest.mark.parametrize("link", [False, True], ids=["itself", "through a link"])
def test_nothing_takes_the_place_of_a_device(tmp_path, link):
    device, part = str(tmp_path / "device"), str(tmp_path / "part")
    os.mkfifo(device)  # a device's brother that anybody may make
    name = device
    if link:
        name = str(tmp_path / "link")
        os.symlink(device, name)
    with open(part, "wb") as file:
        file.write(b"whole")
    with pytest.raises(OSError, match="not a file"):
        naming.replace(part, name)
    assert stat.S_ISFIFO(os.stat(name).st_mode)
    assert os.path.islink(name) == link
    assert Path(part).read_bytes() == b"whole"


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS)
def test_a_command_writes_into_standard_output_by_its_name(tmp_path, words):
    """``/dev/stdout`` of a process whose output is a pipe; the link there stays as it is."""
    db = str(tmp_path / "h.db")
    before = os.readlink("/dev/stdout")
    done = subprocess.run(
        [sys.executable, "-m", "curedash", "--db", db, "place", "add", "Cellar"],
        capture_output=True,
        check=True,
    )
    done = subprocess.run(
        [sys.executable, "-m", "curedash", "--db", db, *words, "/dev/stdout"],
        capture_output=True,
        timeout=60,
    )
    assert os.readlink("/dev/stdout") == before
    assert done.returncode in (0, 1), done.stderr
    assert len(done.stdout) > 40


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS)
def test_standard_output_that_is_a_file_is_written_into_behind_what_it_holds(tmp_path, words):
    """``>> out.txt``: the link of the system stays a link, and the file keeps its beginning."""
    shown = (
        "import sys; from curedash.store import naming;"
        "sys.exit(0 if naming.is_special('/dev/stdout') else 'an ordinary file')"
    )
    out, db = tmp_path / "out.txt", str(tmp_path / "h.db")
    out.write_text("before\n")
    curedash = [sys.executable, "-m", "curedash", "--db", db]
    subprocess.run([*curedash, "place", "add", "Cellar"], capture_output=True, check=True)
    with out.open("ab") as file:  # first of all: nothing may take the place of that link
        subprocess.run([sys.executable, "-c", shown], stdout=file, check=True)
        before = os.readlink("/dev/stdout")
        subprocess.run([*curedash, *words, "/dev/stdout"], stdout=file, timeout=60)
    assert os.readlink("/dev/stdout") == before
    text = out.read_text()
    assert text.startswith("before\n")
    assert len(text) > 40
    assert os.listdir(tmp_path).count("out.txt") == 1
