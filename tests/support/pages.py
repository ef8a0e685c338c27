"""What stands in a page of the program, and in a picture of it."""
import re
import struct
import zlib
from html.parser import HTMLParser


class Page(HTMLParser):
    """Every element is closed in order, ids are single, pictures have words for those who cannot see."""
    VOID = {"meta", "br", "link", "img"}

    def __init__(self, text):
        super().__init__()
        self.open, self.ids, self.text, self.svg, self.titled = [], [], "", 0, 0
        self.outside = re.findall(r"(?:src|href)=|url\(|@import", text)
        self.feed(text)
        assert not self.open, self.open

    def handle_starttag(self, tag, attributes):
        if tag == "svg":
            self.svg += 1
            assert dict(attributes).get("role") == "img"
        if tag == "title" and "svg" in self.open:
            self.titled += 1
        self.ids += [value for name, value in attributes if name == "id"]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        pass

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, (tag, self.open)
        self.open.pop()

    def handle_data(self, data):
        if not {"style", "script"} & set(self.open):
            self.text += data


def pixels_of(png):
    """Rows of an 8-bit RGB or RGBA picture (PNG specification, filters 0 to 4)."""
    data, at, packed = png.read_bytes(), 8, b""
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at:at + 8])
        if kind == b"IHDR":
            width, height, depth, colour = struct.unpack(">IIBB", data[at + 8:at + 18])
            assert depth == 8 and colour in (2, 6)
        if kind == b"IDAT":
            packed += data[at + 8:at + 8 + size]
        at += size + 12
    step = 3 if colour == 2 else 4
    raw, rows, before = zlib.decompress(packed), [], bytearray(width * step)
    for y in range(height):
        kind = raw[y * (width * step + 1)]
        row = bytearray(raw[y * (width * step + 1) + 1:(y + 1) * (width * step + 1)])
        for i in range(len(row)):
            a = row[i - step] if i >= step else 0
            b, c = before[i], before[i - step] if i >= step else 0
            if kind == 1:
                row[i] = row[i] + a & 255
            elif kind == 2:
                row[i] = row[i] + b & 255
            elif kind == 3:
                row[i] = row[i] + (a + b) // 2 & 255
            elif kind == 4:
                p = a + b - c
                near = min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]
                row[i] = row[i] + near & 255
        rows.append([tuple(row[i:i + 3]) for i in range(0, len(row), step)])
        before = row
    return rows
