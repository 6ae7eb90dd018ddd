"""Swardcast: weather in, one clear piece of lawn advice a week out."""

__version__ = "0.1.0"
