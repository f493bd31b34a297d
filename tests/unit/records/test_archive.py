"""Out and in again without loss, from one kind of database to the other and back."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from backstay.records import Records, RefusedError, Remark, StoreError, open_records
from backstay.records.archive import START, _row
from tests.postgres import Server
from tests.unit.records.wall import BY, fill, planned, readings

A, B = "A-1-001", "A-1-002"
PICTURE = b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40


def full(records: Records) -> Records:
    """Fill records with lives, corrections, text in many scripts, and files."""
    fill(records, (A, B))
    records.correct_reading(
        A, replace(readings()[2], remark="0.1 + 0.2 "), by="Ö. Büro", reason="ß"
    )
    records.withdraw_reading(B, 4, by=BY, reason="twice")
    wet = records.add(
        Remark(anchor=A, text="Wasser bei 5 m – 水 – 'quoted' \"too\"\n2nd line"), by=BY
    )
    records.correct(wet.id, Remark(anchor=A, text="dry"), by=BY, reason="other hole")
    records.withdraw(records.add(Remark(text="gone"), by=BY).id, by=BY, reason="none")
    records.attach(PICTURE, called="../../etc/IMG 1.jpg", by=BY, anchor=A, caption="head")
    records.attach(b"minutes;load\n1;2\n", called="log.csv", by=BY)
    return records


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("archive")
    with open_records(folder / "a") as records:
        full(records).export(folder / "a.zip")
    return folder / "a.zip"


def same(one: Records, other: Records) -> None:
    """Assert that two stores hold the same, down to every hash."""
    assert one.last() == other.last()
    assert one.register() == other.register()
    for anchor in (A, B):
        assert one.history(anchor) == other.history(anchor)
        assert one.anchor(anchor) == other.anchor(anchor)
        assert one.test_record(anchor) == other.test_record(anchor)
    assert one.remarks() == other.remarks()
    assert one.jacks() == other.jacks()
    assert other.verify(one.last()).sound


def test_sqlite_to_postgresql_to_sqlite(postgres: Server, tmp_path: Path) -> None:
    first = full(open_records(tmp_path / "a.records"))
    second = open_records(postgres.new_database(), files=tmp_path / "b.files")
    third = open_records(tmp_path / "c.records")
    with first, second, third:
        first.export(tmp_path / "a.zip")
        assert second.import_archive(tmp_path / "a.zip") == first.last()[0]
        same(first, second)
        second.export(tmp_path / "b.zip")
        third.import_archive(tmp_path / "b.zip")
        same(first, third)
        third.export(tmp_path / "c.zip")
        assert third.verify().files == 2
        content = third.anchor(A).of(type(first.remarks()[0].fact))[0].fact
        assert content is not None
        assert third.content(content.sha256) == PICTURE
    archives = {(tmp_path / f"{name}.zip").read_bytes() for name in "abc"}
    assert len(archives) == 1, "the same records give the same bytes"


def test_an_archive_adds_what_is_new(tmp_path: Path) -> None:
    with open_records(tmp_path / "site") as site, open_records(tmp_path / "office") as office:
        fill(site, (A, B))
        site.export(tmp_path / "monday.zip")
        assert office.import_archive(tmp_path / "monday.zip") == site.last()[0]
        assert office.import_archive(tmp_path / "monday.zip") == 0
        full_before = site.last()[0]
        site.attach(PICTURE, called="x.jpg", by=BY, anchor=A)
        site.export(tmp_path / "tuesday.zip")
        assert office.import_archive(tmp_path / "tuesday.zip") == site.last()[0] - full_before
        same(site, office)
        site.add(Remark(text="of the site"), by=BY)
        office.add(Remark(text="of the office"), by=BY)
        site.export(tmp_path / "wednesday.zip")
        before = office.last()
        with pytest.raises(RefusedError, match="not the beginning of those in the archive"):
            office.import_archive(tmp_path / "wednesday.zip")
        with pytest.raises(RefusedError, match="entries already, and the archive ends at"):
            office.import_archive(tmp_path / "monday.zip")
        assert office.last() == before


def test_an_archive_of_nothing(tmp_path: Path) -> None:
    with open_records(tmp_path / "a") as empty, open_records(tmp_path / "b") as other:
        empty.export(tmp_path / "a.zip")
        assert other.import_archive(tmp_path / "a.zip") == 0
        assert other.register() == ()
        assert other.verify().sound


def rewritten(source: Path, target: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    with zipfile.ZipFile(source) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return target


def _line(number: int, change: Callable[[dict[str, object]], object]) -> Callable[..., None]:
    def do(members: dict[str, bytes]) -> None:
        lines = members["records.jsonl"].splitlines()
        plain = json.loads(lines[number])
        change(plain)
        lines[number] = json.dumps(plain).encode()
        members["records.jsonl"] = b"\n".join(lines) + b"\n"

    return do


def _manifest(**values: object) -> Callable[..., None]:
    def do(members: dict[str, bytes]) -> None:
        members["manifest.json"] = json.dumps(
            json.loads(members["manifest.json"]) | values
        ).encode()

    return do


def _without(name: str) -> Callable[..., None]:
    def do(members: dict[str, bytes]) -> None:
        for member in [m for m in members if m.startswith(name)]:
            del members[member]

    return do


def _cut(members: dict[str, bytes]) -> None:
    members["records.jsonl"] = b"\n".join(members["records.jsonl"].splitlines()[:-1]) + b"\n"


def _other_picture(members: dict[str, bytes]) -> None:
    name = next(n for n in members if n.startswith("files/"))
    members[name] = members[name][::-1]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (_manifest(version=2), "newer Backstay"),
        (_manifest(format="other"), "no archive of field records"),
        (_manifest(readings=3), "not whole: its readings differ"),
        (_without("manifest"), "no archive of field records"),
        (_without("records"), "no archive of field records"),
        (_without("files/"), "file [0-9a-f]{64} is missing"),
        (_cut, "not whole"),
        (_other_picture, "not what its name says"),
        (_line(4, lambda p: p.update(author="E. Else")), "entry 5 is not as it was written"),
        (_line(4, lambda p: p.update(author=5)), "author is of the wrong type"),
        (_line(4, lambda p: p.update(extra=5)), "its columns are not those of a record"),
        (_line(4, lambda p: p.update(id=7)), "something is missing"),
        (_line(4, lambda p: p.update(hash="zz")), "cannot be read"),
    ],
)
def test_an_archive_that_is_not_whole_changes_nothing(
    archive: Path, tmp_path: Path, change: Callable[[dict[str, bytes]], None], words: str
) -> None:
    spoilt = rewritten(archive, tmp_path / "spoilt.zip", change)
    with open_records(tmp_path / "b") as other:
        with pytest.raises(RefusedError, match=words) as refusal:
            other.import_archive(spoilt)
        assert "\n" not in str(refusal.value)
        assert other.last()[0] == 0


def _forged(**values: object) -> Callable[..., None]:
    """Change the first reading, and write every hash anew as one who knows how would."""

    def do(members: dict[str, bytes]) -> None:
        plain = [json.loads(line) for line in members["records.jsonl"].splitlines()]
        next(p for p in plain if "dials" in p).update(values)
        before, lines = START, []
        for one in plain:
            before = _row(dict(one)).chained(before)
            lines.append(json.dumps(one | {"hash": before.hex()}).encode())
        members["records.jsonl"] = b"\n".join(lines) + b"\n"
        _manifest(hash=before.hex())(members)

    return do


def test_an_archive_whose_hashes_are_written_anew_is_told_by_its_readings(
    archive: Path, tmp_path: Path
) -> None:
    same_again = rewritten(archive, tmp_path / "same.zip", _forged())
    with open_records(tmp_path / "a") as other:
        assert other.import_archive(same_again) > 0
    for values in (
        {"withdrawn": 2}, {"recorded": "2026-03-02T09:00:00Z"}, {"phase": "resting"},
        {"minute": -1.0},
    ):  # fmt: skip
        spoilt = rewritten(archive, tmp_path / "spoilt.zip", _forged(**values))
        with open_records(tmp_path / "b") as other:
            with pytest.raises(RefusedError) as refusal:
                other.import_archive(spoilt)
            assert "differ from the manifest" not in str(refusal.value), values
            assert other.last()[0] == 0


def test_what_is_no_archive(archive: Path, tmp_path: Path) -> None:
    text = tmp_path / "wall.yaml"
    text.write_text("units: SI")
    torn = tmp_path / "torn.zip"
    torn.write_bytes(archive.read_bytes()[:5000])
    with open_records(tmp_path / "a") as records:
        for file in (text, torn):
            with pytest.raises(RefusedError, match="no archive of field records"):
                records.import_archive(file)
        with pytest.raises(StoreError, match="No such file"):
            records.import_archive(tmp_path / "none.zip")


def test_an_export_that_fails_leaves_the_last_one(tmp_path: Path) -> None:
    with open_records(tmp_path / "a") as records:
        full(records).export(tmp_path / "a.zip")
        good = (tmp_path / "a.zip").read_bytes()
        kept = next(p for p in (tmp_path / "a.files").rglob("*") if p.is_file())
        kept.write_bytes(b"damaged")
        with pytest.raises(StoreError, match=r"not written, because file .* is damaged"):
            records.export(tmp_path / "a.zip")
        assert (tmp_path / "a.zip").read_bytes() == good
        with pytest.raises(StoreError, match="not written"):
            records.export(tmp_path / "none" / "a.zip")
    assert not list(tmp_path.glob(".*.tmp"))


def test_every_reading_and_entry_of_an_old_archive_still_comes_in(tmp_path: Path) -> None:
    """The archive is a promise: this one was written by the first version of the format."""
    old = Path(__file__).parent / "first_version.zip"
    with open_records(tmp_path / "a") as records:
        records.import_archive(old)
        assert records.verify().sound
        assert [line.state for line in records.register()] == ["lifted off", "lifted off"]
        assert records.test_record(A).readings[0] == readings()[0]
        assert records.anchor(A).of(type(planned()))[0].fact == planned()


@pytest.mark.parametrize("name", ["a.records", "wall.yaml", "table.xlsx.csv"])
def test_an_export_writes_over_nothing_but_an_archive(tmp_path: Path, name: str) -> None:
    """One slip of the name must not take the records themselves, or the project, away."""
    for other in ("wall.yaml", "table.xlsx.csv"):
        (tmp_path / other).write_text("units: SI\n")
    with open_records(tmp_path / "a.records") as records:
        full(records)
        last = records.last()
    before = (tmp_path / name).read_bytes()
    with open_records(tmp_path / "a.records") as records:
        with pytest.raises(
            StoreError, match=r"not written \(it is there already and is no archive"
        ):
            records.export(tmp_path / name)
        assert (tmp_path / name).read_bytes() == before
        assert records.verify(last).sound
        records.export(tmp_path / "a.zip")
        records.export(tmp_path / "a.zip")
    assert not list(tmp_path.glob(".*.tmp"))
