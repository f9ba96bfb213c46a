"""Where the saw goes: the dimension chain of jacket and shaft, the pieces, their cuts, zones and the firewall.

Along the column, mm from the hub seat, positive away from the driver. `plan.cut_plan` is the place to start reading.
"""
