"""Fakes of the outside things that adapters hold."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from numpy.typing import NDArray

if TYPE_CHECKING:
    from assistant.adapters.journal_postgres import ShopDesk
    from tests.adapters.shop_bays import Bay
    from tests.shop_server import Shop


class FakePortAudioError(Exception):
    """Stands for sounddevice.PortAudioError."""


class FakeCallbackAbort(Exception):
    """Stands for sounddevice.CallbackAbort."""


@dataclass
class FakeClock:
    """Seconds that the streams let pass."""

    now_s: float = 100.0

    def __call__(self) -> float:
        """Now."""
        return self.now_s


@dataclass
class FakeStream:
    """A stream that calls back when the test says so; each buffer takes the time that its frames last."""

    clock: FakeClock
    callback: Callable[..., None]
    samplerate: int
    channels: int
    blocksize: int = 0
    active: bool = True
    closed: bool = False

    def start(self) -> None:
        """Nothing runs by itself."""

    def abort(self, ignore_errors: bool = True) -> None:
        """Stops at once."""
        self.active = False

    def close(self, ignore_errors: bool = True) -> None:
        """Frees it."""
        self.closed = True

    def hear(self, pcm: NDArray[np.int16], *, overflow: bool = False) -> None:
        """The driver hands over one buffer, (frames, channels)."""
        self.clock.now_s += len(pcm) / self.samplerate
        times = SimpleNamespace(currentTime=10.0, inputBufferAdcTime=10.0 - len(pcm) / self.samplerate)
        self.callback(pcm, len(pcm), times, SimpleNamespace(input_overflow=overflow))

    def take(self, frames: int, *, late: bool = False) -> NDArray[np.int16]:
        """The driver asks for one buffer, and says whether the one before came late."""
        out = np.full((frames, self.channels), 99, dtype=np.int16)
        times = SimpleNamespace(currentTime=10.0, outputBufferDacTime=10.05)
        try:
            self.callback(out, frames, times, SimpleNamespace(output_underflow=late))
        except FakeCallbackAbort:
            self.active = False
        self.clock.now_s += frames / self.samplerate
        return out


@dataclass
class FakeSounddevice:
    """As much of sounddevice as the adapters touch."""

    rates_hz: tuple[int, ...] = (16_000, 44_100, 48_000)
    default_hz: float = 48_000.0
    channels: int = 2
    present: bool = True
    clock: FakeClock = field(default_factory=FakeClock)
    streams: list[FakeStream] = field(default_factory=list)
    PortAudioError: type[Exception] = FakePortAudioError
    CallbackAbort: type[Exception] = FakeCallbackAbort

    def query_devices(self, device: object = None, kind: str | None = None) -> dict[str, Any]:
        """One device, or none."""
        if not self.present:
            raise FakePortAudioError("Error querying device -1")
        return {
            "name": "fake",
            "default_samplerate": self.default_hz,
            "max_input_channels": self.channels,
            "max_output_channels": self.channels,
        }

    def check_input_settings(self, *, samplerate: float, **_settings: object) -> None:
        """Refuses rates that the device has not."""
        if samplerate not in self.rates_hz:
            raise FakePortAudioError("Invalid sample rate")

    def _stream(self, **settings: Any) -> FakeStream:
        if not self.present:
            raise FakePortAudioError("Device unavailable")
        stream = FakeStream(
            clock=self.clock,
            callback=settings["callback"],
            samplerate=settings["samplerate"],
            channels=settings["channels"],
            blocksize=settings.get("blocksize", 0),
        )
        self.streams.append(stream)
        return stream

    InputStream = _stream
    OutputStream = _stream


@pytest.fixture
def portaudio(monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeSounddevice]:
    """A sounddevice whose one device the test works by hand."""
    fake = FakeSounddevice()
    monkeypatch.setitem(sys.modules, "sounddevice", fake)  # type: ignore[arg-type]  # only attributes are used
    return fake  # type: ignore[return-value]  # nothing to undo beyond monkeypatch


@pytest.fixture
def no_portaudio(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine without the PortAudio library: importing sounddevice raises OSError there, not ImportError."""

    class Missing:
        """Finds sounddevice and fails as it does."""

        def find_spec(self, name: str, path: object = None, target: ModuleType | None = None) -> None:
            """Refuse only sounddevice."""
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Missing(), *sys.meta_path])


@pytest.fixture
def bay(shop: Shop, tmp_path: Path) -> Iterator[Callable[[str], Bay]]:
    """Makes bays."""
    from tests.adapters.shop_bays import UTC, Bay  # noqa: PLC0415 - few tests need them

    made: list[Bay] = []

    def one(name: str, utc: str = UTC) -> Bay:
        made.append(Bay(shop, name, tmp_path / f"{name}-{len(made)}", utc))
        return made[-1]

    yield one
    for each in made:
        each.server.close()


@pytest.fixture
def owner(shop: Shop) -> Iterator[ShopDesk]:
    """The whole record, for the one who may do all but extend a bay's chain."""
    from assistant.adapters.journal_postgres import ShopDesk  # noqa: PLC0415 - as above
    from tests.adapters.shop_bays import DESK, OWNER, UTC  # noqa: PLC0415 - as above

    journal = ShopDesk(shop.account("owner", DESK, OWNER), lambda: UTC)
    yield journal
    journal.close()
