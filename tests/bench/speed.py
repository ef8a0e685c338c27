#!/usr/bin/python3
"""Speed and memory of `examine`, whole processes in alternation with a plain SciPy script.

    tests/bench/speed.py PATH/TO/tattletone PATH/TO/transforms_alone [--long]

--long adds one hour at 96 kHz (needs 700 MB in /tmp) for the peak of memory.
Prints ratios in one run; the absolute times are this machine's.
"""
import os, struct, subprocess, sys, tempfile, time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from materials import sheet_text

PLAIN = """
import sys, numpy as np
from scipy.io import wavfile
from scipy.signal import welch, find_peaks
from scipy.ndimage import median_filter
rate, x = wavfile.read(sys.argv[1])
f, p = welch(x.astype(np.float64) / 32768, rate, nperseg=32768)
d = 10 * np.log10(p + 1e-30)
print(len(find_peaks(d - median_filter(d, 201), height=10)[0]))
"""
SHEET = sheet_text("bench_with_pump")

def run(command):
    start = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    assert status == 0, command
    return time.perf_counter() - start, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024

def wav(path, seconds, rate):
    # In a process of its own: a child's peak of memory counts what its parent held when it was made.
    subprocess.run(["/usr/bin/python3", __file__, "--make", path, str(seconds), str(rate)], check=True)

def make(path, seconds, rate, seed=1):
    import numpy as np
    random = np.random.default_rng(seed)
    block = rate * 60
    left = int(seconds * rate)
    with open(path, "wb") as out:
        out.write(b"RIFF" + struct.pack("<I", 36 + 2 * left) + b"WAVEfmt " +
                  struct.pack("<IHHIIHH", 16, 1, 1, rate, 2 * rate, 2, 16) + b"data" + struct.pack("<I", 2 * left))
        t0 = 0
        while left > 0:
            n = min(left, block)
            t = (t0 + np.arange(n)) / rate
            x = random.normal(0, 300, n) + 60 * np.sin(2 * np.pi * 9600.3 * t)
            out.write(np.round(x).astype("<i2").tobytes())
            t0 += n
            left -= n

def median(values):
    return sorted(values)[len(values) // 2]

def main():
    program, transforms = sys.argv[1:3]
    with tempfile.TemporaryDirectory() as folder:
        sheet, script = folder + "/b.toml", folder + "/plain.py"
        open(sheet, "w").write(SHEET)
        open(script, "w").write(PLAIN)
        for name, seconds, rounds in (("10 min at 48 kHz", 600, 5), ("10 s at 48 kHz", 10, 15)):
            clip = folder + "/clip.wav"
            wav(clip, seconds, 48000)
            ours, plain = [], []
            run(["/usr/bin/python3", script, clip])
            for _ in range(rounds):
                ours.append(run([program, "examine", clip, "--board", sheet]))
                plain.append(run(["/usr/bin/python3", script, clip]))
            wall, cpu, memory = (median([r[i] for r in ours]) for i in range(3))
            plain_wall, _, plain_memory = (median([r[i] for r in plain]) for i in range(3))
            print(f"{name}: wall {wall:.3f} s, {wall / plain_wall:.2f} of the script's {plain_wall:.3f} s; "
                  f"memory {memory:.0f} MB, {memory / plain_memory:.2f} of the script's {plain_memory:.0f} MB")
            if seconds > 60:
                alone = median([float(subprocess.check_output([transforms, str(seconds), "48000"])) for _ in range(3)])
                print(f"{name}: processor time {cpu:.2f} s, {cpu / alone:.2f} times its transforms alone ({alone:.2f} s)")
        if "--long" in sys.argv:
            clip = folder + "/long.wav"
            wav(clip, 3600, 96000)
            wall, cpu, memory = run([program, "examine", clip, "--board", sheet])
            print(f"1 h at 96 kHz: peak memory {memory:.0f} MB, wall {wall:.1f} s")

if sys.argv[1:2] == ["--make"]:
    make(sys.argv[2], float(sys.argv[3]), int(sys.argv[4]))
else:
    main()
