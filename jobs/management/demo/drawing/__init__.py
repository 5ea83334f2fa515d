"""Drawings made by our own code: sheets for the condition step and painted photographs for the sample shop.

Pure apart from Pillow, numpy and typst; imports no slice. Start at ``photographs.draw``.
"""
