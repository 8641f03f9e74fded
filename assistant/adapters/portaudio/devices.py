"""What microphones and speakers PortAudio sees on this machine."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.adapters.portaudio.library import load_sounddevice
from assistant.errors import SetupError


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundDevice:
    """One device. `number` or `name` choose it; `inputs` and `outputs` count channels."""

    number: int
    name: str
    system: str
    inputs: int
    outputs: int
    rate_hz: int
    preferred_input: bool
    preferred_output: bool


def list_devices() -> tuple[SoundDevice, ...]:
    """Every device, in PortAudio's order; none on a machine without sound. Raises SetupError without PortAudio."""
    sounddevice = load_sounddevice("")
    try:
        systems = sounddevice.query_hostapis()
        preferred_input, preferred_output = sounddevice.default.device
        return tuple(
            SoundDevice(
                number=number,
                name=str(device["name"]),
                system=str(systems[device["hostapi"]]["name"]),
                inputs=int(device["max_input_channels"]),
                outputs=int(device["max_output_channels"]),
                rate_hz=round(device["default_samplerate"]),
                preferred_input=number == preferred_input,
                preferred_output=number == preferred_output,
            )
            for number, device in enumerate(sounddevice.query_devices())
        )
    except sounddevice.PortAudioError as error:
        raise SetupError(f"The sound devices cannot be listed: {error}.") from error
