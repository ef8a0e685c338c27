#!/usr/bin/python3
"""The microphone through PortAudio, with a device that is played into, killed, brought back and frozen.

    microphone_test.py LISTEN_LOG

Checked: the tone's frequency within 0.01 Hz (one clock drives player and recorder), each loss told and capture resumed
after it (issue 2, 'Sound in'). How long each takes is printed. Skips (77), told loudly, without PulseAudio.
"""

import json
import os
import signal
import subprocess
import sys
import threading
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "virtual_mic"))
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import virtual_mic  # noqa: E402
from checks import check  # noqa: E402

HZ = 1234.5
PATIENCE = 60.0  # seconds after which the program is taken for hung


class Log:
    """The program's lines as they come, each with the time at which it came."""

    def __init__(self, command, environment):
        self.process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE, text=True)
        self.lines = []
        self.errors = ""
        threading.Thread(target=self._read, daemon=True).start()
        self.error_reader = threading.Thread(target=self._read_errors, daemon=True)
        self.error_reader.start()

    def _read(self):
        for line in self.process.stdout:
            self.lines.append((time.monotonic(), json.loads(line)))

    def _read_errors(self):
        self.errors = self.process.stderr.read()

    def wait_for(self, what, condition):
        since = time.monotonic()
        while time.monotonic() - since < PATIENCE:
            for at, line in reversed(list(self.lines)):
                if at < since:
                    break
                if condition(line):
                    print(f"  {what}: after {at - since:.2f} s")
                    return line
            time.sleep(0.02)
        last = self.lines[-1][1] if self.lines else None
        raise AssertionError(f"{what}: not within {PATIENCE} s; last line {last}; errors {self.errors!r}")


def hears_tone(line):
    return line.get("state") == "running" and abs(line["hz"] - HZ) < 0.01 and line["peak"] > 0.04


def main():
    if virtual_mic.cannot_run("capture"):
        return 77
    program = sys.argv[1]
    with virtual_mic.VirtualMic() as mic:
        tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), HZ, 80, amplitude=0.05)
        mic.play(tone)
        listed = subprocess.run([program, "--list"], env=mic.environment, capture_output=True, text=True,
                                check=True)
        check("testmic" in listed.stdout and "48000" in listed.stdout, "devices: " + listed.stdout)
        check(listed.stderr == "", "the libraries write to standard error: " + listed.stderr)

        for start in range(5):  # a machine that is busy elsewhere may drop sound, though hardly at every start
            log = Log([program, "600", "testmic"], mic.environment)
            line = log.wait_for("tone at its frequency", hears_tone)
            check(line["rate_hz"] == 48000, "opened at %s" % line["rate_hz"])
            if line["lost"] == 0 and line["gaps"] == 0:
                break
            check(start < 4, "a gap where none was, at five starts: %s" % line)
            log.process.terminate()
            log.process.wait(PATIENCE)
        gaps = line["gaps"]

        mic.kill()
        line = log.wait_for("killed: told", lambda l: l["state"] == "vanished" and "is gone" in l["message"])
        time.sleep(2.5)
        mic.start()
        mic.play(tone)
        line = log.wait_for("brought back: tone again", lambda l: hears_tone(l) and l["gaps"] > gaps)
        check(line["reopened"] == 1 and line["message"] == "", "after the return: %s" % line)

        gaps = line["gaps"]
        mic.freeze()
        log.wait_for("frozen: told", lambda l: l["state"] == "frozen" and "no sound" in l["message"])
        time.sleep(0.5)
        mic.thaw()
        line = log.wait_for("thawed: tone again", lambda l: hears_tone(l) and l["gaps"] > gaps)

        gaps = line["gaps"]
        mic.freeze()
        time.sleep(7)  # long enough for the program to give this stream up
        check(log.lines[-1][1]["state"] == "frozen", "not frozen: %s" % log.lines[-1][1])
        mic.thaw()
        log.wait_for("thawed late: tone again", lambda l: hears_tone(l) and l["gaps"] > gaps)
        log.process.terminate()
        log.process.wait(PATIENCE)
        log.error_reader.join(PATIENCE)
        check(log.errors == "", "standard error: " + log.errors)

        mic.silence()
        mic.play(tone)
        log = Log([program, "600", "default"], mic.environment)
        log.wait_for("the default device: tone", hears_tone)
        mic.freeze()
        log.process.send_signal(signal.SIGINT)
        line = log.wait_for("leaving a frozen device", lambda l: "closed_in" in l)
        print(f"  closed in {line['closed_in']:.2f} s")
        check(log.process.wait(PATIENCE) == 0, "ended badly")  # while the device still stands
        mic.thaw()
    print("all passed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
