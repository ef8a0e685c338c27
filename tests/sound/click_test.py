#!/usr/bin/python3
"""Clicks through a private sound server: as far apart as asked for; without an output a sentence says so.

    click_test.py CLICK_LOG

Skips (77), told loudly, without PulseAudio.
"""

import array
import os
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "virtual_mic"))
import virtual_mic  # noqa: E402

RATE = 8.0


def begins_of(samples):
    """Seconds at which clicks begin: after 20 ms of silence."""
    begins, quiet = [], 960
    for at, sample in enumerate(samples):
        if abs(sample) > 300:
            if quiet >= 960:
                begins.append(at / 48000)
            quiet = 0
        else:
            quiet += 1
    return begins


def main():
    if virtual_mic.missing_tools():
        print("SKIPPED: no PulseAudio", file=sys.stderr)
        return 77
    with virtual_mic.VirtualMic() as mic:
        with open(mic.environment["ALSA_CONFIG_PATH"], "w") as out:
            out.write(f'pcm.default {{ type pulse device "{virtual_mic.SINK}" }}\n')
        kept = tempfile.TemporaryFile()  # a pipe that nobody reads meanwhile holds 0.7 s
        heard = subprocess.Popen(
            ["parec", "--device=" + virtual_mic.SINK + ".monitor", "--format=s16le", "--rate=48000",
             "--channels=1", "--raw", "--latency-msec=50"], env=mic.environment, stdout=kept, stderr=subprocess.DEVNULL)
        time.sleep(0.5)
        done = subprocess.run([sys.argv[1], str(RATE), "5"], env=mic.environment, capture_output=True,
                              text=True, timeout=120, check=False)
        time.sleep(0.5)
        heard.terminate()
        heard.wait(timeout=30)
        kept.seek(0)
        samples = array.array("h", kept.read(2 * 48000 * 20))
        assert done.returncode == 0, done.stderr
        assert done.stderr == "", done.stderr
        begins = begins_of(samples)
        apart = [b - a for a, b in zip(begins, begins[1:])]
        print(f"{len(begins)} clicks, {min(apart):.4f} to {max(apart):.4f} s apart; loudest sample "
              f"{max(map(abs, samples))} of 32767")
        assert len(begins) >= 10, begins  # the server takes its time to begin and drops the end
        # A busy machine drops some and delays others; more than half are as far apart as asked for, to a few samples.
        assert sum(abs(gap - 1 / RATE) < 0.0005 for gap in apart) > 0.5 * len(apart), apart
        assert max(map(abs, samples)) < 3400
        mic.kill()
        done = subprocess.run([sys.argv[1], "1", "1"], env=mic.environment, capture_output=True, text=True,
                              timeout=120, check=False)
        assert done.returncode == 1 and done.stderr.startswith("the sound output: "), done
        assert done.stderr.count("\n") == 1, done.stderr
    return 0


if __name__ == "__main__":
    sys.exit(main())
