"""The square code on a paper that opens an address (ISO/IEC 18004, by the library segno)."""

from society.web.stamp import Code

# Any of the eight masks may be read; the search for the evenest takes five times as long as the
# rest of the code, and an address has no long runs that would ask for it.
MASK = 3


def code_of(address: str, x: float, y: float, size: float) -> Code:
    """The code of an address, `size` millimetres wide with its corner at x, y.

    A seventh of it may be damaged (level M). The four modules of white around it that the standard
    asks for are for the one who places it.
    """
    import segno

    made = segno.make_qr(address, error="m", boost_error=False, mask=MASK)
    return Code(tuple(bytes(row) for row in made.matrix), x, y, size)
