#!/usr/bin/python3
"""What the window costs, and whether it lasts.

    window_bench.py TATTLETONE              the demo live, then over: frames a second, processor, memory
    window_bench.py TATTLETONE --soak 600   so many seconds at a virtual microphone: growth, lost samples
"""

import os
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [HERE, os.path.join(HERE, "..", "virtual_mic")]
import driven_window  # noqa: E402
import virtual_mic  # noqa: E402

SHEET = os.path.join(HERE, "..", "..", "samples", "limpet.toml")
SEEN = "caution_seen = true\n"


def measure(window, seconds):
    frames, cpu, begin = window.frames(), window.cpu_seconds(), time.monotonic()
    time.sleep(seconds)
    took = time.monotonic() - begin
    return (window.frames() - frames) / took, 100 * (window.cpu_seconds() - cpu) / took


def show_demo(program):
    for size in ((1280, 800), (1920, 1080)):
        with driven_window.DrivenWindow(program, ["--demo"], size=size, settings=SEEN) as window:
            window.rest_mouse()
            window.wait_beginning("ladder ")
            fps, cpu = measure(window, 5.0)
            time.sleep(6)
            idle_fps, idle_cpu = measure(window, 10.0)
            print(f"{size[0]}x{size[1]}: live {fps:.1f} frames/s, {cpu:.0f} % of a core (software OpenGL, "
                  f"analysis with it); idle {idle_fps:.1f} frames/s, {idle_cpu:.1f} %; "
                  f"{window.resident_mb():.0f} MB", flush=True)


def soak(program, seconds):
    with virtual_mic.VirtualMic() as mic:
        tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), [3200.05, 6400.1], 30.0,
                                    amplitude=0.01, noise=0.001)
        with driven_window.DrivenWindow(program, ["--board", SHEET, "--device", virtual_mic.DEVICE],
                                        settings=SEEN, environment=mic.environment) as window:
            window.rest_mouse()
            begin, first, most = time.monotonic(), None, 0.0
            player, next_at = mic.play(tone), 0.0
            while time.monotonic() - begin < seconds:
                if player.poll() is not None:
                    player = mic.play(tone)
                at = time.monotonic() - begin
                if at >= next_at:
                    next_at += 30.0
                    memory = window.resident_mb()
                    first = memory if first is None and at >= 60 else first
                    most = max(most, memory)
                    fps, cpu = measure(window, 2.0)
                    warnings = [name for name in window.places() if name.startswith("warns ")]
                    print(f"{at:4.0f} s: {memory:.1f} MB, {fps:.1f} frames/s, {cpu:.0f} % of a core, "
                          f"top ladder {window.ladders()[:1]}, warnings {warnings}", flush=True)
                time.sleep(0.05)
            if first is not None:
                print(f"growth since 60 s: {window.resident_mb() - first:+.1f} MB, at most {most - first:+.1f} MB",
                      flush=True)


if __name__ == "__main__":
    missing = driven_window.missing_tools() + virtual_mic.missing_tools()
    if missing:
        print("SKIPPED: " + ", ".join(missing) + " not installed", file=sys.stderr)
        sys.exit(77)
    if "--soak" in sys.argv:
        soak(sys.argv[1], float(sys.argv[sys.argv.index("--soak") + 1]))
    else:
        show_demo(sys.argv[1])
