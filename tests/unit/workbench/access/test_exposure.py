from __future__ import annotations

from pathlib import Path

import pytest

from backstay.workbench.access.exposure import Exposure, RefusedToServeError, is_loopback
from backstay.workbench.access.people import Person, Role
from tests.unit.workbench.access.asking import Bench

SOMEBODY = (Person("Ann", Role.DESIGNS),)
ANY = "0.0.0.0"  # noqa: S104


def test_this_machine_alone_unless_told_otherwise() -> None:
    exposure = Exposure()
    assert exposure.address == "127.0.0.1"
    assert not exposure.for_others
    exposure.check(())
    assert exposure.warnings() == ()
    assert exposure.uvicorn_options()["host"] == "127.0.0.1"
    assert exposure.uvicorn_options()["proxy_headers"] is False


@pytest.mark.parametrize("address", [ANY, "::", "192.168.1.20", "wall-laptop", "", "127.0.0.1.nip"])
def test_others_are_served_only_where_somebody_has_an_account(address: str) -> None:
    exposure = Exposure(address=address)
    with pytest.raises(RefusedToServeError, match=r"nobody has an account.*backstay people add"):
        exposure.check(())
    exposure.check(SOMEBODY)


def test_a_proxy_in_front_of_this_machine_serves_others_too() -> None:
    with pytest.raises(RefusedToServeError, match=r"https://wall\.example, and nobody"):
        Exposure(public="https://wall.example").check(())


def test_the_guard_cannot_be_made_against_the_rule(tmp_path: Path) -> None:
    with pytest.raises(RefusedToServeError):
        Bench(tmp_path, exposure=Exposure(address=ANY))
    Bench(tmp_path, exposure=Exposure(address=ANY), Ann=Role.READS)


@pytest.mark.parametrize(
    "host", ["localhost", "LocalHost", "127.0.0.1", "127.3.2.1", "::1", "[::1]"]
)
def test_loopback(host: str) -> None:
    assert is_loopback(host)


@pytest.mark.parametrize(
    "host", ["", ANY, "::", "10.0.0.1", "localhost.example", "127.1", "127.0.0.1x"]
)
def test_not_loopback(host: str) -> None:
    assert not is_loopback(host)


def test_without_https_it_warns_and_says_what_to_do() -> None:
    warnings = " ".join(Exposure(address="192.168.1.20").warnings())
    for said in ("readable to everybody", "--certificate", "--key", "proxy", "--public"):
        assert said in warnings
    assert "--public" in " ".join(Exposure(public="http://wall.example").warnings())
    assert Exposure(public="https://wall.example").warnings() == ()


def test_on_every_address_it_asks_for_the_names(tmp_path: Path) -> None:
    assert "--name" in " ".join(Exposure(address=ANY).warnings())
    assert "--name" not in " ".join(Exposure(address=ANY, names=("wall-laptop",)).warnings())


def test_certificate_and_key_go_together(tmp_path: Path) -> None:
    certificate, key = tmp_path / "cert.pem", tmp_path / "key.pem"
    with pytest.raises(RefusedToServeError, match="both the certificate and its key"):
        Exposure(certificate=certificate).check(())
    with pytest.raises(RefusedToServeError, match=r"cert\.pem is not there"):
        Exposure(certificate=certificate, key=key).check(())
    certificate.touch()
    key.touch()
    exposure = Exposure(address="192.168.1.20", certificate=certificate, key=key)
    exposure.check(SOMEBODY)
    assert exposure.https
    assert exposure.warnings() == ()
    options = exposure.uvicorn_options()
    assert (options["ssl_certfile"], options["ssl_keyfile"]) == (str(certificate), str(key))


@pytest.mark.parametrize(
    "public", ["wall.example", "ftp://wall.example", "https://", "https://a/b"]
)
def test_a_public_address_that_is_none_is_refused(public: str) -> None:
    with pytest.raises(RefusedToServeError, match=r"https://wall\.example"):
        Exposure(public=public).check(SOMEBODY)


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_ports(port: int) -> None:
    with pytest.raises(RefusedToServeError, match="1 to 65535"):
        Exposure(port=port).check(())


def test_uvicorn_takes_the_options() -> None:
    import uvicorn

    config = uvicorn.Config(
        "x:app", **Exposure(address=ANY, public="https://w.example").uvicorn_options()
    )
    assert config.host == ANY
    assert config.forwarded_allow_ips == "127.0.0.1"
