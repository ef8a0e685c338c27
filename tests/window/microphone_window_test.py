#!/usr/bin/python3
"""The window at a virtual microphone. As window_test.py."""

import json
import os
import subprocess
import tempfile
import time
import unittest

from window_case import LIMPET, PROGRAM, SEEN, main, shot
from driven_window import DrivenWindow
import virtual_mic


class AtVirtualMic(unittest.TestCase):
    def setUp(self):
        missing = virtual_mic.missing_tools()
        if missing:
            self.skipTest(", ".join(missing) + " not installed, no virtual microphone")


class Microphone(AtVirtualMic):
    def test_a_tone_starts_the_device_dies_and_comes_back(self):
        with virtual_mic.VirtualMic() as mic:
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 50.0, 60.0, amplitude=0.0,
                                        noise=0.0005)
            # The screen's rows are the third rate of the sheet; the clock of this "card" is right.
            tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), [4320.04, 8640.08, 12960.12],
                                        40.0, amplitude=0.02)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                time.sleep(4)
                self.assertNotEqual(window.ladders()[0], "screen.row")
                mic.play(tone)
                begin = time.monotonic()
                window.wait_for("the screen's ladder on top",
                                lambda: window.ladders()[:1] == ["screen.row"])
                print(f"a tone's ladder stood on top {time.monotonic() - begin:.2f} s after the player "
                      "was started")
                window.wait_beginning("says screen.row")
                shot(window, "live dark 1280")
                window.key("r")
                window.wait_beginning("says Board off")
                shot(window, "room step dark 1280")
                window.click("step room")  # cancels
                mic.kill()
                told = window.wait_for("word of the dead device", lambda: next(
                    (n for n in window.places() if n.startswith("warns ") and "testmic" in n), None))
                print(told)
                shot(window, "device gone dark 1280")
                mic.start()
                mic.play(tone)
                window.wait_for("the warning to go", lambda: told not in window.places())
                window.wait_beginning("says screen.row")


class Bench(AtVirtualMic):
    def test_room_then_a_state_step_by_step(self):
        with virtual_mic.VirtualMic() as mic:
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 2345.6, 20.0, amplitude=0.002,
                                        noise=0.0005)
            tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"),
                                        [4320.04, 8640.08, 12960.12, 2345.6], 30.0, amplitude=0.002,
                                        noise=0.0005)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                time.sleep(1.0)
                window.click("step room")
                window.wait_beginning("says Board off")
                window.wait_place("done room")
                mic.silence()
                mic.play(tone)
                window.click("step reading")
                window.wait_beginning("says Recording 'reading'")
                window.wait_place("done reading")
                window.wait_beginning("says screen.row")
                self.assertNotIn("record the room", window.wait_beginning("next "))
                self.assertNotIn("done sounding", window.places())
                kept = window.wait_for("two files", lambda: len(window.saved_files(".flac")) == 2
                                       and window.saved_files(".flac"))
                self.assertEqual([os.path.basename(path).split(" ")[2] for path in kept], ["room", "reading"])
                lengths = [float(subprocess.run(["soxi", "-D", path], capture_output=True, text=True,
                                                check=True).stdout) for path in kept]
                self.assertEqual([round(length, 2) for length in lengths], [5.0, 10.0])
                window.key("ctrl+j")
                found = window.wait_for("findings", lambda: window.saved_files(".json"))[0]
                time.sleep(0.3)
                with open(found, encoding="utf-8") as text:
                    findings = json.load(text)
                self.assertEqual(findings["recordings"][0]["state"], "reading")
                room = min(findings["tones"], key=lambda t: abs(t["hz"] - 2345.6))
                self.assertEqual(room["origin"], "room")
                self.assertEqual(findings["suspects"][0]["rate"], "screen.row")

    def test_what_spoils_the_sound_is_told(self):
        with virtual_mic.VirtualMic() as mic:
            loud = virtual_mic.tone_wav(os.path.join(mic.folder, "loud.wav"), 440.0, 3.0, amplitude=1.5)
            hiss = virtual_mic.tone_wav(os.path.join(mic.folder, "hiss.wav"), 50.0, 8.0, amplitude=0.0,
                                        noise=0.05)
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 50.0, 60.0, amplitude=0.0,
                                        noise=0.0005)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                mic.play(loud)
                window.wait_place("meter clipping!")
                window.wait_beginning("warns Clipping: turn the microphone")
                window.wait_for("the end of it", lambda: "meter clipping!" not in window.places())
                # As speech enhancement does: a hiss goes away a while after the start.
                mic.play(hiss)
                window.wait_beginning("warns the noise falls by ")
                self.assertIn("it removes steady tones", window.wait_beginning("warns the noise falls by "))
                # The sound system stands still, and goes on.
                mic.freeze()
                told = window.wait_for("word of the missing sound", lambda: next(
                    (n for n in window.places() if n.startswith("warns ") and "gives no sound" in n), None))
                mic.thaw()
                window.wait_for("the warning to go", lambda: told not in window.places())

    def test_a_microphone_is_seen_when_it_is_plugged_in_and_opened_again_the_next_time(self):
        with virtual_mic.VirtualMic() as mic, tempfile.TemporaryDirectory() as folder:
            mic.unplug()
            with DrivenWindow(PROGRAM, ["--board", LIMPET], settings=SEEN, environment=mic.environment,
                              folder=folder) as window:
                window.click("Microphone")
                window.wait_place("default")
                self.assertNotIn(virtual_mic.DEVICE, window.places())
                mic.plug_in()
                window.click(virtual_mic.DEVICE)
                window.wait_place("Pause")
                # One more, while the first is open: seen when the user asks for it.
                mic.plug_in("deskmic")
                window.pick("Microphone", "look for new ones (listening begins anew)")
                window.click("Microphone")
                window.wait_place("deskmic", 60)
                window.key("Escape")
                window.wait_place("Pause", 60)
                self.assertEqual(window.close(), 0)
                self.assertTrue(window.settings()["listening"])
                self.assertEqual(window.settings()["device"], virtual_mic.DEVICE)
            mic.unplug()
            with DrivenWindow(PROGRAM, [], environment=mic.environment, folder=folder) as window:
                window.wait_place(f"says Waiting for the microphone '{virtual_mic.DEVICE}'")
                mic.plug_in()
                window.wait_place("Pause")
                window.pick("Microphone", "stop listening")
                window.wait_for("the end of listening", lambda: "Pause" not in window.places())
                self.assertEqual(window.close(), 0)
                self.assertFalse(window.settings()["listening"])


if __name__ == "__main__":
    main()
