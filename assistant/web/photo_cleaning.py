"""What a screen sends as a photo is taken for one only after it was drawn anew: pixels go in, a plain JPEG comes out.

The type is told by the content. What a camera writes beside the pixels (place, time, owner, a small copy), a comment,
a second file behind the picture or a script in it are not pixels, so none of it is kept.
"""

from __future__ import annotations

import io
import threading
import warnings
from dataclasses import dataclass

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

MOST_BYTES = 12_000_000
"""Bytes that a photo may arrive with; the page makes it smaller before it sends it."""
MOST_PIXELS = 50_000_000
"""Pixels that it may have: known before any is unpacked, so that a small file cannot fill the memory."""
SIDE = 1600
"""Pixels of the longer side as it is kept: a connector's pins can be told apart, and a page of them prints."""
QUALITY = 82
_TOO_LARGE = f"The photo has more than {MOST_PIXELS // 1_000_000} megapixels. Take a smaller one."
_FORMATS = ("JPEG", "PNG", "WEBP")
_ONE_AT_A_TIME = threading.Lock()
"""Unpacked, a photo takes some hundred megabytes."""


class NoPhotoError(ValueError):
    """What came is no photo that can be kept. The text is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as it is kept."""

    content: bytes
    """JPEG without anything beside the pixels."""
    width: int
    height: int


def clean(content: bytes) -> Picture:
    """Draw a photo anew.

    Raises:
        NoPhotoError: it is none, it is broken, or it is too large.
    """
    if not content:
        raise NoPhotoError("Nothing arrived. Send the photo again.")
    if len(content) > MOST_BYTES:
        raise NoPhotoError(f"The photo has more than {MOST_BYTES // 1_000_000} megabytes. Take a smaller one.")
    with _ONE_AT_A_TIME, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the size is looked at here
        lenient, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
        try:
            with Image.open(io.BytesIO(content), formats=_FORMATS) as found:
                return _drawn(found)
        except NoPhotoError:
            raise
        except Image.DecompressionBombError:
            raise NoPhotoError(_TOO_LARGE) from None
        except UnidentifiedImageError:
            raise NoPhotoError("That is no photo: JPEG, PNG and WebP are taken.") from None
        except (
            OSError,
            ValueError,
            SyntaxError,
            ArithmeticError,
            LookupError,
            MemoryError,
        ):
            # what the library's readers raise on a file that breaks off or contradicts itself
            raise NoPhotoError("The photo is broken or did not arrive whole. Send it again.") from None
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = lenient  # the library that makes our PDFs wants half a picture, too


def _drawn(found: Image.Image) -> Picture:
    width, height = found.size
    if width * height > MOST_PIXELS:
        raise NoPhotoError(_TOO_LARGE)
    found.draft("RGB", (SIDE, SIDE))  # a JPEG is unpacked no larger than needed
    found.load()
    turned = ImageOps.exif_transpose(found)
    seen = turned.convert("RGBA") if turned.has_transparency_data else turned.convert("RGB")
    seen.thumbnail((SIDE, SIDE), Image.Resampling.LANCZOS)
    # onto a sheet of its own: what was beside the pixels stays with the old one
    fresh = Image.new("RGB", seen.size, "white")
    fresh.paste(seen, mask=seen.getchannel("A") if seen.mode == "RGBA" else None)
    file = io.BytesIO()
    fresh.save(file, "JPEG", quality=QUALITY, optimize=True)
    return Picture(file.getvalue(), *fresh.size)
