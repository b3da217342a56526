"""An import that is not used, a print, and a function that does too much."""

import os


def tangled(a: int) -> int:
    """Branches without end."""
    if a == 1:
        return 1
    elif a == 2:
        return 2
    for i in range(a):
        if i == 3 and a > 4 or i == 5:
            while a:
                if a % 2:
                    a -= 1
                elif a % 3:
                    a -= 2
                else:
                    break
        elif i == 7:
            print(a)
        elif i == 8 or (i == 9 and a):
            a = i if a else 2
        elif i == 10:
            a += 1
    return 0 if a else 1
