"""Pure numbers: from lists to demand, from demand to an order; nothing here reads or writes.

Every uncertain quantity is a generating function at the roots of unity (`pgf`); independent parts
multiply, mixtures average, and one inverse Fourier transform gives the exact distribution.
"""
