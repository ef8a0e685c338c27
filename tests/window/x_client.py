"""What another program does to a window through the X server: drops files on it, and reads the clipboard.

Drag and drop as in the XDND protocol, version 5 (freedesktop.org), from the source's side; the clipboard as in
the Inter-Client Communication Conventions Manual, section 2."""

import time
import urllib.parse

from Xlib import X, display
from Xlib.protocol import event


class XClient:
    def __init__(self, name):
        self.display = display.Display(name)
        self.root = self.display.screen().root
        self.window = self.root.create_window(0, 0, 1, 1, 0, X.CopyFromParent)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.display.close()

    def atom(self, name):
        return self.display.intern_atom(name)

    def events(self, within):
        """What comes to this client's window until the time is over."""
        end = time.monotonic() + within
        while time.monotonic() < end:
            if self.display.pending_events():
                yield self.display.next_event()
            else:
                time.sleep(0.01)

    def window_called(self, title):
        return next(w for w in self.root.query_tree().children if w.get_wm_name() == title)

    def drop(self, title, paths, x, y, within=60.0):
        """Drops files at a place of the window; true once it has taken them."""
        target, types = self.window_called(title), self.atom("text/uri-list")
        self.window.set_selection_owner(self.atom("XdndSelection"), X.CurrentTime)

        def tell(kind, *numbers):
            target.send_event(event.ClientMessage(window=target, client_type=self.atom(kind),
                                                  data=(32, [self.window.id, *numbers])))
            self.display.flush()

        tell("XdndEnter", 5 << 24, types, 0, 0)
        tell("XdndPosition", 0, x << 16 | y, X.CurrentTime, self.atom("XdndActionCopy"))
        content = "".join(f"file://{urllib.parse.quote(path)}\r\n" for path in paths).encode()
        for told in self.events(within):
            if told.type == X.SelectionRequest:
                told.requestor.change_property(told.property, told.target, 8, content)
                told.requestor.send_event(event.SelectionNotify(
                    time=told.time, requestor=told.requestor, selection=told.selection,
                    target=told.target, property=told.property))
                self.display.flush()
            elif told.type == X.ClientMessage and told.client_type == self.atom("XdndStatus"):
                if not told.data[1][1] & 1:
                    return False
                tell("XdndDrop", 0, X.CurrentTime, 0, 0)
            elif told.type == X.ClientMessage and told.client_type == self.atom("XdndFinished"):
                return told.data[1][1] != 0  # bit 0 by the protocol; GLFW writes how much it got
        return False

    def clipboard(self, within=5.0):
        """Its text; None where nobody gives any."""
        place = self.atom("TATTLETONE_TEST")
        self.window.convert_selection(self.atom("CLIPBOARD"), self.atom("UTF8_STRING"), place,
                                      X.CurrentTime)
        self.display.flush()
        for told in self.events(within):
            if told.type == X.SelectionNotify:
                if told.property == X.NONE:
                    return None
                return self.window.get_full_property(place, X.AnyPropertyType).value.decode()
        return None
