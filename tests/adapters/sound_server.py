"""A sound card made of software: `python sound_server.py [COMMAND …]`.

Starts a PulseAudio of its own (any user, root too) with two sinks that nobody hears, and an ALSA
configuration that shows PortAudio these devices and no others:

    perch_microphone   what the assistant hears: all that is played to stage_mouth  (the default)
    perch_speaker      what the assistant plays to; stage_ear records it            (the default)

With a COMMAND, runs it in that environment and ends with its exit code.  Without one, prints the
environment as a line of JSON and serves until standard input ends.  Needs the Debian packages
pulseaudio, libasound2-plugins and libportaudio2.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PATIENCE_S = 30

ALSA_DEVICE = (
    'pcm.{name} {{ type pulse device "{device}" hint {{ show on description "{name}" }} }}'
)

ALSA = """
pcm.!default {{ type pulse hint {{ show on description "default" }} }}
ctl.!default {{ type pulse }}
{devices}
"""

DEVICES = {
    "perch_microphone": "perch_in.monitor",
    "perch_speaker": "perch_out",
    "stage_mouth": "perch_in",
    "stage_ear": "perch_out.monitor",
}

MODULES = (
    "module-null-sink sink_name=perch_in rate=48000 channels=2",
    "module-null-sink sink_name=perch_out rate=44100 channels=2",
    "module-native-protocol-unix socket={socket} auth-anonymous=1",
)


@contextmanager
def sound_server(folder: Path) -> Iterator[dict[str, str]]:
    """Serve from a folder; yields the environment, with the server's process in SOUND_SERVER."""
    path = folder / "socket"
    settings = {
        "XDG_RUNTIME_DIR": str(folder),
        "PULSE_SERVER": f"unix:{path}",
        "PULSE_COOKIE": str(folder / "cookie"),
        "PULSE_SOURCE": "perch_in.monitor",
        "PULSE_SINK": "perch_out",
        "ALSA_CONFIG_PATH": str(folder / "alsa.conf"),
    }
    devices = (ALSA_DEVICE.format(name=name, device=device) for name, device in DEVICES.items())
    (folder / "alsa.conf").write_text(ALSA.format(devices="\n".join(devices)))
    with (folder / "log").open("wb") as log, _pulseaudio(folder, path, log.fileno()) as server:
        _wait_for(path, server, folder / "log")
        yield {**settings, "SOUND_SERVER": str(server.pid)}
        server.terminate()


def _pulseaudio(folder: Path, path: Path, log: int) -> subprocess.Popen[bytes]:
    options = ["-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no"]
    options += ["--realtime=no", "--high-priority=no", "--disable-shm=yes"]
    modules = [f"--load={module.format(socket=path)}" for module in MODULES]
    return subprocess.Popen(
        ["pulseaudio", *options, *modules],
        env={**os.environ, "HOME": str(folder), "XDG_RUNTIME_DIR": str(folder)},
        stdout=log,
        stderr=log,
    )


def _wait_for(path: Path, server: subprocess.Popen[bytes], log: Path) -> None:
    give_up = time.monotonic() + PATIENCE_S
    while not _answers(path):
        if server.poll() is not None or time.monotonic() > give_up:
            server.kill()
            raise RuntimeError(f"pulseaudio does not start:\n{log.read_text()}")
        time.sleep(0.02)


def _answers(path: Path) -> bool:
    with socket.socket(socket.AF_UNIX) as client:
        return client.connect_ex(str(path)) == 0


def main(command: list[str]) -> int:
    """Run the command, or serve until standard input ends."""
    with tempfile.TemporaryDirectory(prefix="sound-") as name, sound_server(Path(name)) as settings:
        if command:
            return subprocess.run(command, env={**os.environ, **settings}, check=False).returncode
        sys.stdout.write(json.dumps(settings) + "\n")
        sys.stdout.flush()
        sys.stdin.read()
        return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
