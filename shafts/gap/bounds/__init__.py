"""What only saves time for many options: angles and speeds that cannot matter are passed over.

Everything here could be left out and every answer would stay as it is: the gap at all angles, and at every speed that
is tried, is the same curve.
"""
