"""What stands in the store when a mail server cannot be trusted: never sent, and told why."""

from __future__ import annotations

import ipaddress
import ssl
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import trustme
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from letter_cases import AT, ROBIN, bytes_for, counts, is_dead, is_sent, postman, put
from rude_server import HERE, rude

from advisor.store.database import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "swardcast.sqlite3") as store:
        yield store


# TLS: the certificate is of an authority that is trusted, and only the named fault is wrong.


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


def issued(
    authority: trustme.CA, name: str = HERE, ended: datetime | None = None
) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    began = None if ended is None else ended - timedelta(days=1)
    made = authority.issue_cert(name, not_before=began, not_after=ended)
    made.configure_cert(context)
    return context


def self_signed(folder: Path) -> ssl.SSLContext:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, HERE)])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(HERE))]), False
        )
        .sign(key, hashes.SHA256())
    )
    both = folder / "self.pem"
    both.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
        + made.public_bytes(serialization.Encoding.PEM)
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(both)
    return context


@pytest.fixture
def trusted(authority: trustme.CA, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> trustme.CA:
    """The private authority is the one that this machine trusts."""
    authority.cert_pem.write_to_path(tmp_path / "authority.pem")
    monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "authority.pem"))
    return authority


SECURITIES = pytest.mark.parametrize("security", ["tls", "starttls"])


@SECURITIES
def test_a_good_certificate_is_all_that_it_takes(
    store: Store, trusted: trustme.CA, security: str
) -> None:
    """Else the refusals below could be for another reason."""
    put(store)
    with rude(tls=issued(trusted), at_once=security == "tls") as server:
        postman(store, server.port, security, login=True).deliver_due(AT)
    is_sent(store)
    assert server.mails == [bytes_for(ROBIN)]


@SECURITIES
@pytest.mark.parametrize(
    ("fault", "cause"),
    [
        ("expired", "has expired"),
        ("wrong host", "mismatch"),
        ("self-signed", "self.signed certificate"),
        ("unknown authority", "unable to get local issuer"),
    ],
)
def test_a_certificate_at_fault_is_named_and_nothing_is_told(
    store: Store, trusted: trustme.CA, tmp_path: Path, security: str, fault: str, cause: str
) -> None:
    """No second connection without TLS, no login, no mail."""
    past = datetime.now(UTC) - timedelta(days=2)
    context = {
        "expired": lambda: issued(trusted, ended=past),
        "wrong host": lambda: issued(trusted, "mail.example.org"),
        "self-signed": lambda: self_signed(tmp_path),
        "unknown authority": lambda: issued(trustme.CA()),
    }[fault]()
    put(store)
    with rude(tls=context, at_once=security == "tls") as server:
        postman(store, server.port, security, login=True).deliver_due(AT)
    is_dead(store, f"certificate of {HERE}.*is not trusted: .*{cause}")
    assert not counts(store)
    assert server.connections == 1
    assert server.verbs() == ([] if security == "tls" else ["EHLO", "STARTTLS"])


@pytest.mark.parametrize(
    ("answers", "note"),
    [({"EHLO": b"250 AUTH PLAIN"}, "does not offer STARTTLS"), ({}, "refused STARTTLS: 502")],
)
def test_without_starttls_nothing_is_told(
    store: Store, trusted: trustme.CA, answers: dict[str, bytes], note: str
) -> None:
    """Neither where it is not offered nor where it is offered and then refused."""
    put(store)
    with rude({"STARTTLS": b"502 not today", **answers}, issued(trusted)) as server:
        postman(store, server.port, "starttls", login=True).deliver_due(AT)
    is_dead(store, note)
    assert server.connections == 1
    assert set(server.verbs()) <= {"EHLO", "STARTTLS", "QUIT"}
