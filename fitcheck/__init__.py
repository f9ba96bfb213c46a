"""fitcheck: will the assist unit fit, through every pedal's full travel, before metal is cut?"""

__version__ = "0.1.0"
