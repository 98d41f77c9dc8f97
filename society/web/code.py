"""The square code on a paper that opens an address (ISO/IEC 18004, by the library segno)."""

# Any of the eight masks may be read; the search for the evenest takes five times as long as the
# rest of the code, and an address has no long runs that would ask for it.
MASK = 3


def modules_of(address: str) -> tuple[bytes, ...]:
    """The rows of the code of an address, 1 for dark.

    A seventh of it may be damaged (level M). The four modules of white around it that the standard
    asks for are for the one who places it.
    """
    import segno

    made = segno.make_qr(address, error="m", boost_error=False, mask=MASK)
    return tuple(bytes(row) for row in made.matrix)
