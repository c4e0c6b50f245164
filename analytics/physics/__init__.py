"""Formulas for air, gel time, cure, laminate and dose: numbers in, numbers out.

Every function takes one number or an array and gives back the same shape. NaN in gives NaN out,
and so does a value that cannot be (humidity of 0 %, a dose below 0): unknown, never zero.
"""
