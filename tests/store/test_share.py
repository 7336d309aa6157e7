"""A household file on a network share is refused with the reason and the way out.

The table of mounts is in the form of Linux: fields of fstab(5), a space in a path as ``\\040``.
"""

from contextlib import closing
from pathlib import Path

import pytest

from curedash.domain.errors import FileTrouble
from curedash.store import file_system
from curedash.store.open import open_db


def mounted(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, kind: str, at: Path) -> None:
    table = tmp_path / "mounts"
    where = str(at).replace(" ", "\\040")
    table.write_text(f"/dev/sda1 / ext4 rw 0 0\nbox:/larder {where} {kind} rw 0 0\n")
    monkeypatch.setattr(file_system, "MOUNTS", str(table))


@pytest.mark.parametrize("kind", ["nfs4", "cifs", "fuse.sshfs", "9p"])
def test_a_file_on_a_share_is_refused_with_the_way_out(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    share = tmp_path / "our share"
    share.mkdir()
    mounted(monkeypatch, tmp_path, kind, share)
    with pytest.raises(FileTrouble) as why:
        open_db(str(share / "larder.db"), create=True)
    assert f"lies on a network share ({kind})" in str(why.value)
    assert "come in by ssh" in str(why.value)
    assert list(share.iterdir()) == []
    monkeypatch.setenv("CUREDASH_ON_SHARE", "1")
    open_db(str(share / "larder.db"), create=True).close()
    monkeypatch.delenv("CUREDASH_ON_SHARE")
    before = (share / "larder.db").read_bytes()
    with pytest.raises(FileTrouble):
        open_db(str(share / "larder.db"))
    assert (share / "larder.db").read_bytes() == before
    with closing(open_db(str(share / "larder.db"), read_only=True)) as conn:
        assert conn.execute("SELECT count(*) FROM lot").fetchone() == (0,)


def test_a_disk_of_this_machine_and_a_system_that_says_nothing_are_no_share(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mounted(monkeypatch, tmp_path, "ext4", tmp_path)
    open_db(str(tmp_path / "a.db"), create=True).close()
    monkeypatch.setattr(file_system, "MOUNTS", str(tmp_path / "nothing"))
    open_db(str(tmp_path / "b.db"), create=True).close()
