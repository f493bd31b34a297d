"""Photographs and files are kept by their content; their names are only labels."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from backstay.records import Attachment, Records, RefusedError, StoreError
from backstay.records import attachments as room
from tests.postgres import Server
from tests.unit.records.conftest import NOW
from tests.unit.records.wall import BY, planned

A = "A-1-001"
JPEG = b"\xff\xd8\xff\xe1" + b"x" * 500


def test_kept_once_by_content_and_read_back(records: Records, path: Path, tmp_path: Path) -> None:
    records.add(planned(), by=BY)
    photo = tmp_path / "IMG_1.jpg"
    photo.write_bytes(JPEG)
    names = ("IMG_1.jpg", "../../../etc/passwd", "C:\\a\\b.jpg", "/abs/x", "näme 水.jpg")
    for name in names:
        records.attach(photo, called=name, by=BY, anchor=A, caption="head plate")
    entries = records.anchor(A).of(Attachment)
    assert tuple(e.fact.name for e in entries) == names
    digest = sha256(JPEG).hexdigest()
    assert {(e.fact.sha256, e.fact.size, e.fact.media) for e in entries} == {
        (digest, len(JPEG), "image/jpeg")
    }
    kept = [p for p in path.with_name("wall.records.files").rglob("*") if p.is_file()]
    assert [p.name for p in kept] == [digest]
    assert records.content(digest) == JPEG
    assert records.verify().files == 1


@pytest.mark.parametrize(
    ("content", "media"),
    [
        (JPEG, "image/jpeg"),
        (b"\x89PNG\r\n\x1a\n" + b"0" * 30, "image/png"),
        (b"II*\x00" + b"0" * 30, "image/tiff"),
        (b"RIFF0000WEBP" + b"0" * 30, "image/webp"),
        (b"0000ftypheic" + b"0" * 30, "image/heic"),
        (b"%PDF-1.7\n", "application/pdf"),
        (b"PK\x03\x04" + b"0" * 30, "application/zip"),
        (b"Wasser bei 5 m\r\n\tStrich", "text/plain"),
    ],
)
def test_what_a_file_is_is_told_from_its_content(
    records: Records, content: bytes, media: str
) -> None:
    entry = records.attach(content, called="x.exe", by=BY)
    assert entry.fact.media == media
    assert records.content(entry.fact.sha256) == content


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b"MZ\x90\x00" + b"\x00" * 50, "this file is neither"),
        (b"\x7fELF\x02", "this file is neither"),
        (b"\xff\xfe\xfa", "this file is neither"),
    ],
)
def test_what_is_not_taken(records: Records, content: bytes, words: str) -> None:
    with pytest.raises(RefusedError, match=words):
        records.attach(content, called="x.jpg", by=BY)
    assert records.last()[0] == 0


def test_too_large(records: Records, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(room, "MOST_BYTES", 1000)
    records.attach(b"a" * 1000, called="a", by=BY)
    large = tmp_path / "large"
    large.write_bytes(b"a" * 1001)
    with pytest.raises(RefusedError, match="the file is larger than"):
        records.attach(large, called="a", by=BY)


@pytest.mark.parametrize("name", ["", " ", "a\0b", "x" * 201, "\ud800"])
def test_names_that_cannot_be_kept(records: Records, name: str) -> None:
    with pytest.raises(RefusedError):
        records.attach(JPEG, called=name, by=BY)


def test_refusals(records: Records, tmp_path: Path) -> None:
    with pytest.raises(RefusedError, match="no anchor 'Z'"):
        records.attach(JPEG, called="a", by=BY, anchor="Z")
    with pytest.raises(RefusedError, match=r"none\.jpg: the file cannot be read \(No such file"):
        records.attach(tmp_path / "none.jpg", called="a", by=BY)
    fact = Attachment(sha256="0" * 64, size=1, media="image/jpeg", name="x")
    with pytest.raises(RefusedError, match="added with its content"):
        records.add(fact, by=BY)
    for digest in ("../x", "0" * 63, "A" * 64):
        with pytest.raises(RefusedError, match="no SHA-256"):
            records.content(digest)
    with pytest.raises(StoreError, match="cannot be read"):
        records.content("0" * 64)


def test_damage_shows_and_is_mended_by_the_same_file(records: Records, path: Path) -> None:
    entry = records.attach(JPEG, called="a", by=BY)
    kept = next(p for p in path.with_name("wall.records.files").rglob("*") if p.is_file())
    kept.write_bytes(JPEG + b"x")
    assert records.verify().faults == (f"entry {entry.id}: file {entry.fact.sha256} is damaged",)
    with pytest.raises(StoreError, match="is damaged"):
        records.content(entry.fact.sha256)
    records.attach(JPEG, called="b", by=BY)
    assert records.verify().sound
    kept.unlink()
    assert "cannot be read" in records.verify().faults[0]


def test_a_folder_must_be_named_for_a_server(postgres: Server) -> None:
    from backstay.records import open_records

    with (
        open_records(postgres.new_database(), clock=lambda: NOW) as records,
        pytest.raises(StoreError, match="name a folder for photographs"),
    ):
        records.attach(JPEG, called="a", by=BY)
