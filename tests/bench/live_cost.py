#!/usr/bin/python3
"""What `listen` costs at a virtual microphone, and how old its answer is at most.

    tests/bench/live_cost.py PATH/TO/tattletone SHEET [SECONDS]      300 seconds by default

Processor time of the process over the time that it ran, the start left out, and the longest time between two
answers: the next answer is of the sound up to then.
"""
import os, subprocess, sys, time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "virtual_mic"))
import virtual_mic


def processor_seconds(pid):
    with open(f"/proc/{pid}/stat") as stat:
        fields = stat.read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main():
    program, sheet = sys.argv[1], sys.argv[2]
    seconds = float(sys.argv[3]) if len(sys.argv) > 3 else 300.0
    warm_up = 12.0                       # until the window of ten seconds is full
    with virtual_mic.VirtualMic() as mic:
        tones = virtual_mic.tone_wav(os.path.join(mic.folder, "sound.wav"), [1024.0, 3200.0, 6660.0, 9600.0], 60,
                                     amplitude=0.002, noise=0.01)
        player = mic.play(tones)
        listening = subprocess.Popen([program, "listen", "--json", "--board", sheet, "--device", "testmic"],
                                     env=mic.environment, stdout=subprocess.PIPE)
        begin = time.monotonic()
        answers, spent, since = [], None, None
        for _ in listening.stdout:
            now = time.monotonic()
            if player.poll() is not None: player = mic.play(tones)
            if now - begin < warm_up: continue
            if spent is None: spent, since = processor_seconds(listening.pid), now
            answers.append(now)
            if now - since >= seconds: break
        used, lasted = processor_seconds(listening.pid) - spent, answers[-1] - since
        listening.terminate()
        listening.wait(10)
    gaps = sorted(b - a for a, b in zip(answers, answers[1:]))
    print(f"listen, {lasted:.0f} s at 48 kHz: {100 * used / lasted:.1f} % of a core; {len(answers)} answers, the longest "
          f"time between two {gaps[-1]:.2f} s, 99 % below {gaps[int(0.99 * len(gaps))]:.2f} s")


main()
