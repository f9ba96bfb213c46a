"""Where the saw goes: the dimension chain of jacket and shaft, the pieces, their first and last cuts, zones and the firewall.

Along the column, mm from the hub seat, positive away from the driver. Needs numpy only for the closing check in the car frame.
"""
