"""Conditions, rulebook, shelf, restrictions and journal to the plan: what to do, when, how much.

Pure.
"""
