"""Measuring a PC, comparing before with after, and fitting the shares of a use.

Nothing here is imported by the planner; numpy is loaded only when something is measured or fitted.
"""
