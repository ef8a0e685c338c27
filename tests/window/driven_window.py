"""The window on a screen without hardware: Xvfb shows it, xdotool clicks and types, and the program tells
(TATTLETONE_PLACES) where on it things stand.

    with DrivenWindow(program, ["--demo"], size=(1280, 800)) as window:
        window.click("Understood")
        window.picture("/tmp/a.png")

With `folder` a second sitting finds the settings of the first.
"""

import importlib.util
import os
import shutil
import signal
import subprocess
import tempfile
import time
import tomllib


def missing_tools():
    missing = [tool for tool in ("Xvfb", "xdotool", "import", "convert") if shutil.which(tool) is None]
    return missing + (["python3-xlib"] if importlib.util.find_spec("Xlib") is None else [])


PATIENCE = 60.0  # seconds after which a test is taken for hung; no test judges how long something takes


class DrivenWindow:
    def __init__(self, program, arguments, size=(1280, 800), environment=None, settings="", folder=None):
        self.own_folder = folder is None
        self.folder = folder or tempfile.mkdtemp(prefix="tattletone-window-")
        self.places_path = os.path.join(self.folder, "places")
        self.frames_path = os.path.join(self.folder, "frames")
        self.saved = os.path.join(self.folder, "saved")
        self.size = size
        config = os.path.join(self.folder, "config", "tattletone")
        self.settings_path = os.path.join(config, "window.toml")
        if not os.path.exists(self.settings_path):  # an earlier sitting leaves them
            os.makedirs(config)
            with open(self.settings_path, "w") as out:
                out.write(f"width = {size[0]}\nheight = {size[1]}\n" + settings)
        self.environment = {**os.environ, **(environment or {}),
                            "XDG_CONFIG_HOME": os.path.join(self.folder, "config"),
                            "TATTLETONE_PLACES": self.places_path, "TATTLETONE_FRAMES": self.frames_path}
        self.environment.setdefault("HOME", self.folder)
        self.environment.pop("WAYLAND_DISPLAY", None)
        self.command = [program, "window", "--folder", self.saved, *arguments]
        self.screen = self.process = None

    def __enter__(self):
        read, write = os.pipe()
        self.screen = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-nolisten", "tcp", "-screen", "0",
             f"{self.size[0]}x{self.size[1]}x24"],
            pass_fds=[write], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(write)
        if os.path.exists(self.places_path):
            os.unlink(self.places_path)
        with os.fdopen(read) as told:
            self.environment["DISPLAY"] = ":" + told.readline().strip()
        self.log = open(os.path.join(self.folder, "log"), "w+")
        self.process = subprocess.Popen(self.command, env=self.environment, stdin=subprocess.DEVNULL,
                                        stdout=self.log, stderr=self.log)
        self.wait_for("a window", lambda: self.places())
        return self

    def __exit__(self, *_):
        for process in (self.process, self.screen):
            if process and process.poll() is None:
                process.terminate()
                try:
                    process.wait(timeout=5)
                except subprocess.TimeoutExpired:
                    process.kill()
                    process.wait()
        self.log.close()
        if self.own_folder:
            shutil.rmtree(self.folder, ignore_errors=True)

    def places(self):
        """name -> (x, y, width, height) of what the last frame drew."""
        try:
            with open(self.places_path, encoding="utf-8") as lines:
                split = [line.rstrip("\n").split(" ", 4) for line in lines]
        except FileNotFoundError:
            return {}
        return {words[4]: tuple(int(w) for w in words[:4]) for words in split if len(words) == 5}

    def wait_for(self, what, condition, within=PATIENCE):
        """The first true value of `condition()`."""
        begin = time.monotonic()
        while time.monotonic() - begin < within:
            value = condition()
            if value:
                return value
            if self.process.poll() is not None:
                self.log.seek(0)
                raise AssertionError(f"the window ended ({self.process.returncode}): {self.log.read()}")
            time.sleep(0.03)
        raise AssertionError(f"no {what} within {within} s; on the screen: " + ", ".join(self.places()))

    def wait_place(self, name, within=PATIENCE):
        return self.wait_for(f"'{name}'", lambda: self.places().get(name), within)

    def wait_beginning(self, beginning, within=PATIENCE):
        return self.wait_for(f"'{beginning} …'", lambda: next(
            (name for name in self.places() if name.startswith(beginning)), None), within)

    def choose(self, beginning, shows):
        """Clicks the first place that begins so until `shows` stands on the screen: while answers come in,
        what is below them moves, and a click may go where it was."""
        def clicked():
            self.click(self.wait_beginning(beginning))
            end = time.monotonic() + 3.0
            while time.monotonic() < end:
                if shows in self.places():
                    return True
                time.sleep(0.03)
            return False
        self.wait_for(f"'{shows}' after a click on '{beginning} …'", clicked)

    def pick(self, opener, *choices):
        """Opens a menu or a list by a click and clicks a line of it."""
        self.click(opener)
        for choice in choices:
            self.click(choice)

    def x_client(self):
        from x_client import XClient
        return XClient(self.environment["DISPLAY"])

    def drop(self, *paths):
        with self.x_client() as client:
            x, y, width, height = self.wait_place("Spectrum")
            if not client.drop("Tattletone", paths, x + width // 2, y + height // 2):
                raise AssertionError(f"the window did not take {paths}")

    def settings(self):
        with open(self.settings_path, "rb") as text:
            return tomllib.load(text)

    def ladders(self):
        """Names of the ladders from the top."""
        return [name[7:] for name, place in sorted(self.places().items(), key=lambda item: item[1][1])
                if name.startswith("ladder ")]

    def tool(self, *words):
        subprocess.run(["xdotool", *words], env=self.environment, check=True, timeout=PATIENCE,
                       stdout=subprocess.DEVNULL)

    def click(self, name, within=PATIENCE):
        x, y, width, height = self.wait_place(name, within)
        self.tool("mousemove", str(x + width // 2), str(y + height // 2))
        time.sleep(0.1)
        self.tool("mousedown", "1")
        time.sleep(0.1)
        self.tool("mouseup", "1")
        time.sleep(0.1)

    def key(self, *keys):
        for key in keys:
            self.tool("key", "--delay", "60", key)
            time.sleep(0.12)

    def type(self, text):
        self.tool("type", "--delay", "60", text)
        time.sleep(0.2)

    def rest_mouse(self):
        self.tool("mousemove", "2", str(self.size[1] - 2))
        time.sleep(0.3)

    def picture(self, path):
        subprocess.run(["import", "-window", "root", path], env=self.environment, check=True, timeout=PATIENCE)

    def frames(self):
        try:
            with open(self.frames_path) as text:
                return int(text.read() or 0)
        except (FileNotFoundError, ValueError):
            return 0

    def cpu_seconds(self):
        with open(f"/proc/{self.process.pid}/stat") as text:
            fields = text.read().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def resident_mb(self):
        with open(f"/proc/{self.process.pid}/status") as text:
            return next(int(line.split()[1]) / 1024 for line in text if line.startswith("VmRSS"))

    def saved_files(self, ending):
        if not os.path.isdir(self.saved):
            return []
        return sorted(os.path.join(self.saved, name) for name in os.listdir(self.saved)
                      if name.endswith(ending))

    def close(self):
        """As a user closes the window; the exit status."""
        self.key("ctrl+q")
        try:
            return self.process.wait(timeout=PATIENCE)
        except subprocess.TimeoutExpired:
            self.process.send_signal(signal.SIGTERM)
            raise AssertionError("the window did not close when it was asked to") from None


def pixels(path):
    """width, height, bytes (three a pixel) of a PNG, read by ImageMagick."""
    size = subprocess.run(["identify", "-format", "%w %h", path], capture_output=True, text=True, check=True,
                          timeout=PATIENCE).stdout.split()
    raw = subprocess.run(["convert", path, "-depth", "8", "rgb:-"], capture_output=True, check=True,
                         timeout=PATIENCE).stdout
    return int(size[0]), int(size[1]), raw
