"""The measurement's arithmetic with numpy: cover and mean dark green colour index of one photo.

    python3 photo_reference.py PHOTO [SWARDBOOK]

With the program named, both are run on the same file: equal within 0.002 of the index, and how
many times faster. Needs numpy and Pillow.
"""

import json
import subprocess
import sys
import time

import numpy as np
from PIL import Image


def measure(rgb):
    """Hue, saturation, brightness and index pixel by pixel, then means over hue 57 to 107."""
    codes = rgb.astype(np.float64) / 255.0
    # Decoded and encoded again, as a correction by the identity would do (IEC 61966-2-1).
    light = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    codes = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    most, least = codes.max(axis=-1), codes.min(axis=-1)
    chroma = most - least
    r, g, b = codes[..., 0], codes[..., 1], codes[..., 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        sector = np.where(
            most == r, ((g - b) / chroma) % 6, np.where(most == g, (b - r) / chroma + 2, (r - g) / chroma + 4)
        )
        hue = 60 * sector
        saturation = np.where(most > 0, chroma / most, 0)
    index = ((hue - 60) / 60 + (1 - saturation) + (1 - most)) / 3
    green = (chroma > 0) & (hue >= 57) & (hue <= 107)
    return green.mean(), index[green].mean()


def main():
    photo = sys.argv[1]
    rgb = np.asarray(Image.open(photo).convert("RGB"))
    measure(rgb[:64, :64])
    began = time.perf_counter()
    cover, index = measure(rgb)
    took = time.perf_counter() - began
    print(f"numpy: cover {cover:.6f}, index {index:.6f}, {took:.2f} s for the arithmetic alone")
    if len(sys.argv) < 3:
        return
    command = [sys.argv[2], "photo", "measure", photo, "--card", "none", "--json"]
    began = time.perf_counter()
    view = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    whole = time.perf_counter() - began
    ours = view["index"]["value"]
    print(f"swardbook: cover {view['cover']['value']:.6f}, index {ours:.6f}, {whole:.2f} s with start and decoding")
    print(f"index differs by {abs(ours - index):.6f}; {took / whole:.1f} times as fast with everything in it")
    assert abs(ours - index) <= 0.002 and abs(view["cover"]["value"] - cover) <= 0.005


if __name__ == "__main__":
    main()
