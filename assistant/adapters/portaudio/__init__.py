"""Live sound through PortAudio: the microphone, the speaker and the list of devices."""

from assistant.adapters.portaudio.devices import SoundDevice, list_devices
from assistant.adapters.portaudio.microphone import SounddeviceMicrophone
from assistant.adapters.portaudio.speaker import SounddeviceSpeaker

__all__ = ["SoundDevice", "SounddeviceMicrophone", "SounddeviceSpeaker", "list_devices"]
