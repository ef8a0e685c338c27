#!/usr/bin/python3
"""`tattletone listen --json` with a virtual microphone: the right suspect out of two declared rates, the
device killed and brought back in the middle, Ctrl-C, and the kept files (issue 2, 'How it is checked').

    listen_test.py TATTLETONE

Skips (77), told loudly, without PulseAudio.
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
from materials import sheet_text  # noqa: E402

SHEET = sheet_text("bench")
PATIENCE = 60.0  # seconds after which the program is taken for hung
HZ = 9600.1  # 10 ppm off, inside the declared 50


class Listener:
    def __init__(self, command, environment):
        self.process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE, text=True)
        self.lines = []
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self):
        for line in self.process.stdout:
            self.lines.append((time.monotonic(), json.loads(line)))

    def wait_for(self, what, condition):
        since = time.monotonic()
        while time.monotonic() - since < PATIENCE:
            for at, line in list(self.lines):
                if at >= since and condition(line):
                    print(f"  {what}: after {at - since:.2f} s")
                    return line
            check(self.process.poll() is None, f"{what}: ended early: {self.process.stderr}")
            time.sleep(0.02)
        raise AssertionError(f"{what}: not within {PATIENCE} s; last {self.lines[-1:]}")


def names_the_ranger(line):
    return (line["verdict"] == "named" and line["live"]["state"] == "running" and line["suspects"][0]["rate"] == "ranger.frame"
            and line["suspects"][0]["probability"] > 0.9
            and all(s["probability"] < 0.5 for s in line["suspects"][1:])
            and any(abs(t["hz"] - HZ) < 0.05 for t in line["tones"]))


def main():
    if virtual_mic.cannot_run("listening"):
        return 77
    program = sys.argv[1]
    with virtual_mic.VirtualMic() as mic:
        sheet = os.path.join(mic.folder, "bench.toml")
        with open(sheet, "w") as out:
            out.write(SHEET)
        tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), HZ, 60, amplitude=0.003, noise=0.001)
        mic.play(tone)
        kept = os.path.join(mic.folder, "kept.flac")
        ear = Listener([program, "listen", "--board", sheet, "--json", "--device", "testmic", "--keep", kept],
                       mic.environment)
        ear.wait_for("the right suspect", names_the_ranger)
        mic.kill()
        line = ear.wait_for("killed: told", lambda l: l["live"]["state"] == "vanished")
        check("is gone" in line["live"]["message"], line["live"]["message"])
        time.sleep(2)
        mic.start()
        mic.play(tone)
        line = ear.wait_for("brought back: the right suspect", lambda l: names_the_ranger(l) and l["live"]["gaps"] >= 1)
        check(line["recordings"][0]["seconds"] < line["live"]["seconds_heard"], "analysed across the gap")
        check(not os.path.exists(kept) or os.path.getsize(kept) > 1000, "half a file stands there")
        mic.freeze()
        ear.wait_for("frozen: told", lambda l: l["live"]["state"] == "frozen")
        mic.thaw()
        ear.wait_for("thawed", lambda l: l["live"]["state"] == "running")
        ear.process.send_signal(signal.SIGINT)
        check(ear.process.wait(PATIENCE) == 0, "Ctrl-C does not end with 0")
        errors = ear.process.stderr.read()
        check("Kept in " + kept in errors and "src/" not in errors, errors)
        check(all(l["format"] == "tattletone findings 1" for _, l in ear.lines), "format")
        names = sorted(name for name in os.listdir(mic.folder) if name.startswith("kept"))
        check("kept.flac" in names and "kept-2.flac" in names and not any("part" in n for n in names), names)

        # Heard on although its part is off: what an earlier recording said for it is turned round.
        last = json.loads(subprocess.run(
            [program, "listen", "--board", sheet, "--seconds", "4", "--json", tone, "--off", "ranger"],
            env=mic.environment, capture_output=True, text=True, check=True).stdout.splitlines()[-1])
        check([r["off"] for r in last["recordings"]] == [["ranger"], []], last["recordings"])
        check(all(s["probability"] < 0.5 for s in last["suspects"]), last["suspects"])
        check(any(r["kind"] == "twin" for r in last["rivals"]), last["rivals"])

        plain = subprocess.run([program, "listen", "--board", sheet, "--seconds", "3"], env=mic.environment,
                               capture_output=True, text=True, check=True).stdout
        check("ranger.frame" in plain and "\x1b" not in plain, plain)
        for words, what in ((["--device", "nonesuch"], "there is no microphone of this name"),
                            (["--keep", "/none/x.flac"], "its folder does not exist"),
                            (["--keep", "x.mp3"], "flac or wav only")):
            bad = subprocess.run([program, "listen", "--seconds", "1", *words], env=mic.environment,
                                 capture_output=True, text=True, check=False)
            check(bad.returncode == 1 and what in bad.stderr and bad.stdout == "", f"{words}: {bad}")
        listed = json.loads(subprocess.run([program, "devices", "--json"], env=mic.environment, check=True,
                                           capture_output=True, text=True).stdout)
        check({"testmic", "default"} == {d["name"] for d in listed["devices"]}, listed)
        check(all(48000 in d["rates_hz"] for d in listed["devices"]), listed)
    print("all passed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
