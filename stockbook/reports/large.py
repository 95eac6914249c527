"""Large letters for a screen that is read from the table: five rows of signs a letter."""

ROWS = 5

_LETTERS = """
A .#. #.# ### #.# #.#
B ##. #.# ##. #.# ##.
C .## #.. #.. #.. .##
D ##. #.# #.# #.# ##.
E ### #.. ##. #.. ###
F ### #.. ##. #.. #..
G .## #.. #.# #.# .##
H #.# #.# ### #.# #.#
I ### .#. .#. .#. ###
J ..# ..# ..# #.# .#.
K #.# #.# ##. #.# #.#
L #.. #.. #.. #.. ###
M #...# ##.## #.#.# #...# #...#
N #..# ##.# #.## #..# #..#
O .#. #.# #.# #.# .#.
P ##. #.# ##. #.. #..
Q .#. #.# #.# .#. ..#
R ##. #.# ##. #.# #.#
S .## #.. .#. ..# ##.
T ### .#. .#. .#. .#.
U #.# #.# #.# #.# ###
V #.# #.# #.# #.# .#.
W #...# #...# #.#.# ##.## #...#
X #.# #.# .#. #.# #.#
Y #.# #.# .#. .#. .#.
Z ### ..# .#. #.. ###
0 ### #.# #.# #.# ###
1 .#. ##. .#. .#. ###
2 ##. ..# .#. #.. ###
3 ##. ..# .#. ..# ##.
4 #.# #.# ### ..# ..#
5 ### #.. ##. ..# ##.
6 .## #.. ### #.# ###
7 ### ..# ..# .#. .#.
8 ### #.# ### #.# ###
9 ### #.# ### ..# ##.
+ ... .#. ### .#. ...
- ... ... ### ... ...
. . . . . #
/ ..# ..# .#. #.. #..
"""
_SHAPES = {line[0]: line[2:].split(" ") for line in _LETTERS.strip().splitlines()}


def large(text: str, width: int) -> str:
    """A text in large letters where they fit and all of them have a shape; else as it is.

    >>> large("1-1", 80).split("\\n")[0].split()
    ['#', '#']
    >>> large("1-1", 8)
    '1-1'
    """
    if any(sign not in _SHAPES and sign != " " for sign in text.upper()):
        return text
    shapes = [_SHAPES.get(sign, [".."] * ROWS) for sign in text.upper()]
    rows = ["  ".join(shape[row] for shape in shapes) for row in range(ROWS)]
    drawn = [row.replace(".", " ").rstrip() for row in rows]
    return "\n".join(drawn) if max(map(len, drawn)) <= width else text
