"""A microphone without hardware: a private PulseAudio whose null sink is recorded through ALSA.

As a module:

    with VirtualMic() as mic:
        mic.play(tone_wav(path, 1000.0, seconds=30))
        process = subprocess.Popen([...], env=mic.environment)
        mic.kill(); mic.start(); mic.freeze(); mic.thaw()

Everything lives in one folder under the temporary directory and ends with the block; the processes are
ended by their own ids. Nothing of the user's own sound system is touched.
"""

import math
import os
import random
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import time
import wave

SINK = "bench"
DEVICE = "testmic"


def cannot_run(what):
    """Whether tools are missing; tells then that `what` was not tested."""
    missing = missing_tools()
    if missing:
        print("SKIPPED: " + ", ".join(missing) + f" not installed; {what} was NOT tested", file=sys.stderr)
    return bool(missing)


def missing_tools():
    """Names of what this harness needs and cannot find; empty where it can run."""
    return [tool for tool in ("pulseaudio", "paplay", "pactl") if shutil.which(tool) is None]


def tone_wav(path, hz, seconds=20.0, rate=48000, amplitude=0.25, noise=0.0, seed=1):
    """A wav of sines (one number or several), 16 bit mono, with optional white noise."""
    hertz = [hz] if isinstance(hz, (int, float)) else list(hz)
    steps = [2 * math.pi * f / rate for f in hertz]
    source = random.Random(seed)
    sin = math.sin
    if noise:
        hiss = [source.gauss(0.0, noise) for _ in range(65536)]
        values = (sum(sin(s * i) for s in steps) * amplitude + hiss[source.getrandbits(16)]
                  for i in range(int(seconds * rate)))
    else:
        values = (sum(sin(s * i) for s in steps) * amplitude for i in range(int(seconds * rate)))
    samples = [max(-32768, min(32767, round(32767 * v))) for v in values]
    with wave.open(path, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes(struct.pack("<%dh" % len(samples), *samples))
    return path


class VirtualMic:
    def __init__(self, rate=48000):
        self.rate = rate
        self.folder = tempfile.mkdtemp(prefix="tattletone-mic-")
        self.socket = os.path.join(self.folder, "native")
        self.server = None
        self.players = []
        config = os.path.join(self.folder, "server.pa")
        with open(config, "w") as out:
            out.write(
                f"load-module module-native-protocol-unix auth-anonymous=1 socket={self.socket}\n"
                f"load-module module-null-sink sink_name={SINK} rate={rate} channels=1 format=float32le\n"
                f"set-default-source {SINK}.monitor\n")
        self.alsa = os.path.join(self.folder, "alsa.conf")
        self.plug_in()
        private = {"HOME": self.folder, "XDG_RUNTIME_DIR": self.folder, "PULSE_RUNTIME_PATH": self.folder}
        self.server_environment = {**os.environ, **private}
        self.environment = {**os.environ, **private, "PULSE_SERVER": "unix:" + self.socket,
                            "ALSA_CONFIG_PATH": self.alsa}
        self.config = config

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *_):
        self.close()

    def start(self):
        """Starts the server, or starts it again after `kill`."""
        if os.path.exists(self.socket):
            os.unlink(self.socket)
        log = open(os.path.join(self.folder, "server.log"), "ab")
        self.server = subprocess.Popen(
            ["pulseaudio", "-n", "-F", self.config, "--daemonize=no", "--exit-idle-time=-1",
             "--use-pid-file=no", "--disable-shm=yes"],
            env=self.server_environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log)
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if os.path.exists(self.socket) and self._pactl("info"):
                return
            if self.server.poll() is not None:
                break
            time.sleep(0.02)
        with open(log.name) as text:
            raise RuntimeError("the private sound server did not start:\n" + text.read()[-2000:])

    def _pactl(self, *words):
        return subprocess.run(["pactl", *words], env=self.environment, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL, timeout=60, check=False).returncode == 0

    def play(self, path):
        """Plays a wav into the microphone, in the background."""
        player = subprocess.Popen(["paplay", "--device=" + SINK, path], env=self.environment,
                                  stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                  stderr=subprocess.DEVNULL)
        self.players.append(player)
        return player

    def kill(self):
        """The device is gone from one moment to the next."""
        self.server.kill()
        self.server.wait()
        self.silence()

    def plug_in(self, *more):
        """ALSA lists the microphone, as it does from the start, and others that give the same."""
        self._list(DEVICE, *more, "default")

    def unplug(self):
        """ALSA no longer lists it; who has it open keeps it."""
        self._list("default")

    def _list(self, *names):
        # PortAudio 19.6 stops on an assertion where ALSA knows no device called 'default'.
        with open(self.alsa + ".part", "w") as out:
            for name in names:
                out.write(f'pcm.{name} {{ type pulse device "{SINK}.monitor" }}\n')
        os.replace(self.alsa + ".part", self.alsa)

    def freeze(self):
        """The server stands still: streams stay open and give nothing."""
        self.server.send_signal(signal.SIGSTOP)

    def thaw(self):
        self.server.send_signal(signal.SIGCONT)

    def silence(self):
        """Ends what is being played."""
        for player in self.players:
            if player.poll() is None:
                player.terminate()
            player.wait()
        self.players = []

    def close(self):
        self.silence()
        if self.server and self.server.poll() is None:
            self.server.send_signal(signal.SIGCONT)
            self.server.terminate()
            try:
                self.server.wait(timeout=3)
            except subprocess.TimeoutExpired:
                self.server.kill()
                self.server.wait()
        shutil.rmtree(self.folder, ignore_errors=True)
