"""What is laid out for each way of control: meeting.py chooses, a module a subject lays out.

Terminal numbers are DIN 72552's.
"""
