"""One request and its answer as raw bytes, or one of the three errors. The only door to httpx."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

import httpx

from advisor.language.words import tell
from advisor.weather.answer import LARGEST
from advisor.weather.deadline import Deadline
from advisor.weather.errors import (
    BadAnswer,
    Misconfigured,
    Unreachable,
    WeatherError,
    quoted,
    without_secret,
)

_REDIRECTS = 3
_LOGGERS = ("httpx", "httpcore.connection", "httpcore.http11", "httpcore.proxy")


@dataclass(frozen=True)
class Patience:
    """Seconds to wait: for a connection, for each read, and for the whole exchange."""

    connect: float = 10.0
    read: float = 20.0
    total: float = 30.0


@dataclass(frozen=True)
class Received:
    """An answer as it came: `body` is not decoded."""

    status: int
    content_type: str
    retry_after: str
    body: bytes


@contextmanager
def open_client(
    user_agent: str,
    patience: Patience,
    transport: httpx.BaseTransport | None,
    secret: str | None,
) -> Iterator[httpx.Client]:
    """A client for a few requests, one after the other, over one connection.

    Raises Misconfigured when the environment's proxy or certificate settings cannot be used.
    """
    timeout = httpx.Timeout(patience.read, connect=patience.connect)
    try:
        client = httpx.Client(
            transport=transport,
            timeout=timeout,
            limits=httpx.Limits(max_connections=1),
            headers={"User-Agent": user_agent, "Accept-Encoding": "identity"},
        )
    except (httpx.InvalidURL, ImportError, ValueError, OSError) as error:
        raise Misconfigured(
            tell(
                "The machine's network settings (environment variables for a proxy or for"
                " certificates) cannot be used: {reason}.",
                reason=quoted(str(error), secret),
            )
        ) from None
    with _silenced(secret), client:
        yield client


def ask(
    client: httpx.Client, url: httpx.URL, patience: Patience, secret: str | None = None
) -> Received:
    """GET `url`, at most `patience.total` seconds and `LARGEST` bytes of it.

    Follows up to three redirects that keep the scheme. Raises Unreachable, BadAnswer or
    Misconfigured, with nothing of the client's own error left behind.
    """
    with Deadline(patience.total) as deadline:
        begun: list[int] = []
        try:
            return _ask(client, url, deadline, begun)
        except WeatherError:
            raise
        except (
            httpx.HTTPError,
            httpx.InvalidURL,
            httpx.StreamError,
            ImportError,
            OSError,
            ValueError,
        ) as error:
            if deadline.passed:
                translated: WeatherError = _too_slow(patience)
            else:
                translated = _translated(error, _host(error, url), bool(begun), secret)
        raise translated from None


def _ask(client: httpx.Client, url: httpx.URL, deadline: Deadline, begun: list[int]) -> Received:
    """As `ask`; `begun` becomes true once an answer has begun to arrive."""
    request = client.build_request("GET", url, extensions={"trace": deadline.trace})
    for _ in range(_REDIRECTS + 1):
        response = client.send(request, stream=True)
        try:
            if not response.has_redirect_location:
                begun.append(response.status_code)
                return _read(response, deadline)
            onward = response.next_request
        finally:
            response.close()
        if onward is None or onward.url.scheme != request.url.scheme:
            raise BadAnswer(
                tell(
                    "The weather service points to an address of another kind (not {scheme}): the"
                    " network may want a sign-in first.",
                    scheme=request.url.scheme,
                )
            )
        onward.extensions = {**onward.extensions, "trace": deadline.trace}
        request = onward
    raise BadAnswer(tell("The weather service points from one address to the next without end."))


def _read(response: httpx.Response, deadline: Deadline) -> Received:
    encoding = response.headers.get("content-encoding", "identity").strip().lower()
    parts: list[bytes] = []
    size = 0
    # a transport that stands in for the network may give its whole body at once
    whole = [response.content] if response.is_stream_consumed else response.iter_raw()
    for part in whole:
        size += len(part)
        parts.append(part)
        if size > LARGEST:
            break
        if deadline.passed:
            break
    if deadline.passed:  # also when the cut connection looked like the end of the answer
        raise httpx.ReadTimeout("the whole took too long")
    if encoding not in ("", "identity"):
        if response.status_code == 200:
            raise BadAnswer(
                tell(
                    "The weather service sent its answer packed (“{encoding}”) though it was asked"
                    " not to.",
                    encoding=quoted(encoding),
                )
            )
        parts = []  # the status says enough; a packed reason is not unpacked
    return Received(
        response.status_code,
        response.headers.get("content-type", ""),
        response.headers.get("retry-after", ""),
        b"".join(parts),
    )


def _too_slow(patience: Patience) -> Unreachable:
    return Unreachable(
        tell(
            "The weather service did not finish within {seconds} seconds.",
            seconds=f"{patience.total:g}",
        )
    )


def _host(error: Exception, url: httpx.URL) -> str:
    """The host that failed: after a redirect it is another than that of `url`."""
    if isinstance(error, httpx.RequestError):
        with suppress(RuntimeError):  # the client does not always know its request
            return quoted(error.request.url.host) or url.host
    return url.host


def _translated(error: Exception, host: str, begun: bool, secret: str | None) -> WeatherError:
    said = quoted(str(error), secret).rstrip(".")
    because = f": {said}" if said else ""
    match error:
        case httpx.TimeoutException():
            return Unreachable(
                tell("The weather service at {host} did not answer in time.", host=host)
            )
        case httpx.UnsupportedProtocol() | httpx.InvalidURL() | httpx.LocalProtocolError():
            return Misconfigured(
                tell("The weather service's address cannot be used{because}.", because=because)
            )
        case httpx.ProxyError():
            return Unreachable(
                tell(
                    "The proxy between here and {host} does not help{because}.",
                    host=host,
                    because=because,
                )
            )
        case httpx.RemoteProtocolError() if begun:
            return BadAnswer(
                tell(
                    "The weather service at {host} broke off in its answer{because}.",
                    host=host,
                    because=because,
                )
            )
        case httpx.RemoteProtocolError():
            return Unreachable(
                tell(
                    "{host} answered in a way that is not HTTP{because}.",
                    host=host,
                    because=because,
                )
            )
        case httpx.ConnectError() if "CERTIFICATE_VERIFY" in str(error).upper():
            return Unreachable(
                tell(
                    "{host} could not prove that it is {host}{because}. Look at this machine's"
                    " clock, and whether the network wants a sign-in first.",
                    host=host,
                    because=because,
                )
            )
        case httpx.HTTPError() | OSError():
            return Unreachable(
                tell(
                    "The weather service at {host} cannot be reached{because}.",
                    host=host,
                    because=because,
                )
            )
        case ImportError():
            return Misconfigured(
                tell("The machine's proxy settings cannot be used{because}.", because=because)
            )
        case _:
            return Misconfigured(
                tell("The request for {host} cannot be made{because}.", host=host, because=because)
            )


class _Keyless(logging.Filter):
    """Takes the key out of what the HTTP libraries log: they log whole addresses."""

    def __init__(self, secret: str) -> None:
        super().__init__()
        self._secret = secret

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = without_secret(record.getMessage(), self._secret), ()
        return True


@contextmanager
def _silenced(secret: str | None) -> Iterator[None]:
    if not secret:
        yield
        return
    keyless = _Keyless(secret)
    loggers = [logging.getLogger(name) for name in _LOGGERS]
    for logger in loggers:
        logger.addFilter(keyless)
    try:
        yield
    finally:
        for logger in loggers:
            logger.removeFilter(keyless)
