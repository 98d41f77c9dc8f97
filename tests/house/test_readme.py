"""The pictures of the README: all there, shown, small, and of the size they are said to be."""

import struct

import pytest

from tests.pictures import README, ROOT, VIEWS, Shown

MOST = 120 * 1024  # bytes: whoever clones the repository takes them all


@pytest.mark.parametrize("shown", README, ids=lambda shown: shown.view)
def test_a_picture_of_the_readme(shown: Shown) -> None:
    assert shown.view in {view.name for view in VIEWS if not view.sometimes}
    picture = (ROOT / "docs" / "pictures" / f"{shown.view}.png").read_bytes()
    assert len(picture) < MOST
    # PNG (ISO/IEC 15948), 11.2.2: width and height are the first eight bytes of the IHDR chunk
    assert picture[12:16] == b"IHDR"
    assert struct.unpack(">II", picture[16:24]) == (shown.width, shown.height)
    assert f"(docs/pictures/{shown.view}.png)" in (ROOT / "README.md").read_text()


def test_no_other_picture_lies_about() -> None:
    kept = {path.stem for path in (ROOT / "docs" / "pictures").iterdir()}
    assert kept == {shown.view for shown in README}
