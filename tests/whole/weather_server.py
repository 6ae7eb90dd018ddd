"""A small real web server on this machine that answers as the forecast service does, or badly.

    with WeatherServer(body) as server:
        OpenForecast(place, base_url=server.url).fetch(...)

`body` is called with the parsed query of each request and gives the answer's bytes; `mode` chooses
how they are sent (see MODES), and may be changed between requests.
"""

from __future__ import annotations

import gzip
import json
import sys
import threading
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import TracebackType
from urllib.parse import parse_qs, urlsplit

UNITS = {
    "time": "unixtime",
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "dew_point_2m": "°C",
    "precipitation": "mm",
    "precipitation_probability": "%",
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "shortwave_radiation": "W/m²",
    "snow_depth": "m",
    "soil_temperature_0cm": "°C",
    "soil_temperature_6cm": "°C",
    "soil_temperature_18cm": "°C",
    "soil_temperature_54cm": "°C",
}
DAY_UNITS = {
    "time": "unixtime",
    "temperature_2m_max": "°C",
    "temperature_2m_min": "°C",
    "precipitation_sum": "mm",
    "shortwave_radiation_sum": "MJ/m²",
}
ARCHIVE_PATH = "/v1/archive"
ENSEMBLE_PATH = "/v1/ensemble"
BAD_GATEWAY = b"<html>\r\n<head><title>502 Bad Gateway</title></head><body>nginx</body></html>"
DAILY_LIMIT = (
    b'{"error":true,"reason":"Daily API request limit exceeded. Please try again tomorrow."}'
)
WENT_WRONG = b'{"reason":"Something went wrong.","error":true}'
BAD_NAME = b'{"reason":"Cannot initialize WeatherVariable from invalid String value","error":true}'

Query = Mapping[str, str]
Body = Callable[[Query], bytes]


def document(query: Query, now: datetime) -> dict[str, object]:
    """A right answer as a document: each wanted variable rises by 0.01 an hour from its place in
    UNITS, so that every value says where it came from."""
    midnight = now.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    first = midnight - timedelta(int(query.get("past_days", "0")))
    stop = midnight + timedelta(int(query.get("forecast_days", "7")))
    times = list(range(int(first.timestamp()), int(stop.timestamp()), 3600))
    names = query["hourly"].split(",")
    columns = {
        name: [round(list(UNITS).index(name) + 0.01 * row, 2) for row in range(len(times))]
        for name in names
    }
    return {
        "latitude": 36.1,
        "longitude": -79.95,
        "generationtime_ms": 0.4,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "timezone_abbreviation": "GMT",
        "elevation": 273,
        "hourly_units": {name: UNITS[name] for name in ("time", *names)},
        "hourly": {"time": times, **columns},
    }


def archive_document(query: Query) -> dict[str, object]:
    """As `document`, from `start_date` to `end_date`, by the hour or by the day as asked for."""
    section = "hourly" if "hourly" in query else "daily"
    units, step = (UNITS, 3600) if section == "hourly" else (DAY_UNITS, 86_400)
    first, last = (
        int(datetime.fromisoformat(query[name]).replace(tzinfo=UTC).timestamp())
        for name in ("start_date", "end_date")
    )
    times = list(range(first, last + 86_400, step))
    names = query[section].split(",")

    def column(name: str) -> list[float]:
        place = list(units).index(name)
        return [round(place + 0.001 * (row % 1000), 3) for row in range(len(times))]

    return {
        "latitude": 36.1,
        "longitude": -79.95,
        "elevation": 273,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        f"{section}_units": {name: units[name] for name in ("time", *names)},
        section: {"time": times, **{name: column(name) for name in names}},
    }


def ensemble_document(query: Query, now: datetime, members: int = 12) -> dict[str, object]:
    """As `document`, by members: in each hour the control run has no rain, and every further
    member 0.1 more of its quantity."""
    midnight = now.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    first = midnight - timedelta(int(query["past_days"]))
    stop = midnight + timedelta(int(query["forecast_days"]))
    times = list(range(int(first.timestamp()), int(stop.timestamp()), 3600))
    columns, units = {}, {"time": "unixtime"}
    for name in query["hourly"].split(","):
        for member in range(members):
            key = f"{name}_member{member:02}" if member else name
            columns[key] = [member / 10] * len(times)
            units[key] = UNITS[name]
    return {
        "latitude": 36.0,
        "longitude": -80.0,
        "elevation": 273,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "hourly_units": units,
        "hourly": {"time": times, **columns},
    }


def right_body(now: datetime) -> Body:
    """Answers as the service, its archive and its ensemble do, told apart by what is asked for."""

    def answer(query: Query) -> dict[str, object]:
        if "ensemble" in query.get("models", ""):
            return ensemble_document(query, now)
        return archive_document(query) if "start_date" in query else document(query, now)

    return lambda query: json.dumps(answer(query)).encode()


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    protocol_version = "HTTP/1.1"

    def log_message(self, format: str, *args: object) -> None:
        """A test's output is no place for an access log."""

    def do_GET(self) -> None:
        parts = urlsplit(self.path)
        query = {name: values[-1] for name, values in parse_qs(parts.query).items()}
        owner = self.server.owner
        owner.requests.append((parts.path, query, dict(self.headers)))
        owner.connections.add(self.client_address)
        # a fault mode hangs up by design; the client's side of it is what a test looks at
        try:
            MODES[owner.mode_of(parts.path)](self, owner.body(query), owner)
        except (BrokenPipeError, ConnectionResetError):
            self.close_connection = True

    def reply(
        self,
        body: bytes,
        status: int = 200,
        kind: str = "application/json; charset=utf-8",
        length: int | None = None,
        **headers: str,
    ) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        if length != -1:
            self.send_header("Content-Length", str(len(body) if length is None else length))
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        self.wfile.write(body)


def _cut(to: _Handler, body: bytes, _owner: WeatherServer) -> None:
    to.reply(body[: len(body) // 2], length=len(body))
    to.close_connection = True


def _half(to: _Handler, body: bytes, _owner: WeatherServer) -> None:
    to.reply(body[: len(body) // 2], length=-1)
    to.close_connection = True


def _drip(to: _Handler, body: bytes, owner: WeatherServer) -> None:
    to.send_response(200)
    to.send_header("Content-Type", "application/json")
    to.end_headers()
    to.close_connection = True
    for byte in body:
        to.wfile.write(bytes([byte]))
        if owner.closing.wait(0.02):
            return


def _drip_head(to: _Handler, _body: bytes, owner: WeatherServer) -> None:
    to.close_connection = True
    for byte in b"HTTP/1.1 200 OK\r\nX-Long: " + b"x" * 10_000:
        to.wfile.write(bytes([byte]))
        if owner.closing.wait(0.02):
            return


def _silent(to: _Handler, _body: bytes, owner: WeatherServer) -> None:
    owner.closing.wait(5)
    to.close_connection = True


def _hang_up(to: _Handler, _body: bytes, _owner: WeatherServer) -> None:
    to.close_connection = True


def _not_http(to: _Handler, _body: bytes, _owner: WeatherServer) -> None:
    to.wfile.write(b"SSH-2.0-x\r\n")
    to.close_connection = True


def _rewrite(change: Callable[[bytes], bytes]) -> Callable[[_Handler, bytes, WeatherServer], None]:
    return lambda to, body, _owner: to.reply(change(body))


def _first_column(body: bytes, change: Callable[[list[object]], object]) -> bytes:
    whole = json.loads(body)
    rows = whole.get("hourly") or whole["daily"]
    name = list(rows)[1]
    rows[name] = change(rows[name])
    return json.dumps(whole).encode()


def _later(body: bytes, seconds: int) -> bytes:
    whole = json.loads(body)
    rows = whole.get("hourly") or whole["daily"]
    rows["time"] = [time + seconds for time in rows["time"]]
    return json.dumps(whole).encode()


MODES: dict[str, Callable[[_Handler, bytes, WeatherServer], None]] = {
    "ok": lambda to, body, _: to.reply(body),
    "cut": _cut,
    "half": _half,
    "silent": _silent,
    "hang up": _hang_up,
    "drip": _drip,
    "drip head": _drip_head,
    "not http": _not_http,
    "html": lambda to, _body, _: to.reply(b"<html>Sign in to the network</html>", kind="text/html"),
    "error 400": lambda to, _body, _: to.reply(BAD_NAME, 400),
    "error 401": lambda to, _body, _: to.reply(b'{"error":true,"reason":"no such key"}', 401),
    "error 404": lambda to, _body, _: to.reply(b"", 404, "text/plain"),
    "error 429": lambda to, _body, _: to.reply(DAILY_LIMIT, 429),
    "error 500": lambda to, _body, _: to.reply(WENT_WRONG, 500),
    "error 502": lambda to, _body, _: to.reply(BAD_GATEWAY, 502, "text/html"),
    "error 503": lambda to, _body, _: to.reply(b"", 503, "text/plain", Retry_After="120"),
    "error in 200": lambda to, _body, _: to.reply(BAD_NAME),
    "streaming error": _rewrite(
        lambda body: body[: len(body) // 2] + b"Unexpected error while streaming data: timeout"
    ),
    "gzip": lambda to, body, _: to.reply(gzip.compress(body), Content_Encoding="gzip"),
    "gzip bomb": lambda to, _body, _: to.reply(
        gzip.compress(b" " * 5_000_000), Content_Encoding="gzip"
    ),
    "huge": lambda to, _body, _: to.reply(b" " * 6_000_000),
    "deep": lambda to, _body, _: to.reply(b"[" * 100_000),
    "empty": lambda to, _body, _: to.reply(b""),
    "bad text": lambda to, _body, _: to.reply(b'{"latitude": "\xff"}'),
    "two places": _rewrite(lambda body: b"[" + body + b"," + body + b"]"),
    "wrong units": _rewrite(lambda body: body.replace(b'"m/s"', b'"km/h"').replace(
        "°C".encode(), "°F".encode()).replace(b"\\u00b0C", b"\\u00b0F")),
    "wrong lengths": _rewrite(lambda body: _first_column(body, lambda column: column[:-1])),
    "words": _rewrite(lambda body: _first_column(body, lambda column: [str(v) for v in column])),
    "NaN": _rewrite(lambda body: _first_column(body, lambda column: [float("nan")] * len(column))),
    "too big": _rewrite(lambda body: _first_column(body, lambda column: [0] * (len(column) - 1) + [
        10**400])),
    "other days": _rewrite(lambda body: _later(body, 30 * 86_400)),
    "loop": lambda to, _body, _: to.reply(b"", 302, Location=to.path),
    "elsewhere": lambda to, _body, _: to.reply(b"", 302, Location="https://portal.test/?from=here"),
    "moved": lambda to, body, owner: to.reply(body)
    if to.path.startswith("/moved")
    else to.reply(b"", 301, Location=f"{owner.address}/moved{to.path}"),
    "nowhere": lambda to, _body, _: to.reply(b"", 302),
    "bad place": lambda to, _body, _: to.reply(b"", 302, Location="http://127.0.0.1:port/"),
}  # fmt: skip
"""How an answer is sent."""


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    owner: WeatherServer

    def handle_error(self, request: object, client_address: object) -> None:
        """A client that hangs up is no fault of this server; anything else is."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)  # type: ignore[arg-type]


class WeatherServer:
    """A context: the server runs in threads of this process. `requests` are (path, query, headers)
    in the order of arrival."""

    def __init__(self, body: Body, mode: str = "ok") -> None:
        self.body = body
        self.mode = mode
        self.archive_mode: str | None = None
        self.ensemble_mode: str | None = None
        self.requests: list[tuple[str, Query, Mapping[str, str]]] = []
        self.connections: set[tuple[str, int]] = set()
        self.closing = threading.Event()
        self._server = _Server(("127.0.0.1", 0), _Handler)
        self._server.owner = self
        self._thread = threading.Thread(
            target=self._server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True
        )

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self._server.server_address[1]}"

    @property
    def url(self) -> str:
        """What to give the client as the service's address."""
        return f"{self.address}/v1/forecast"

    def mode_of(self, path: str) -> str:
        """How a request is answered; `archive_mode` is for those of the archive alone, and
        `ensemble_mode` for those of the ensemble."""
        own = {ARCHIVE_PATH: self.archive_mode, ENSEMBLE_PATH: self.ensemble_mode}
        return own.get(path) or self.mode

    @property
    def archive_url(self) -> str:
        """What to give the archive's client as its address."""
        return f"{self.address}{ARCHIVE_PATH}"

    @property
    def ensemble_url(self) -> str:
        """What to give the ensemble's client as its address."""
        return f"{self.address}{ENSEMBLE_PATH}"

    @property
    def ensemble_requests(self) -> list[Query]:
        """What the ensemble was asked for, in the order of arrival."""
        return [query for path, query, _ in self.requests if path == ENSEMBLE_PATH]

    @property
    def archive_requests(self) -> list[Query]:
        """What the archive was asked for, in the order of arrival."""
        return [query for path, query, _ in self.requests if path == ARCHIVE_PATH]

    def __enter__(self) -> WeatherServer:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.closing.set()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()
