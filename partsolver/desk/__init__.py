"""The desk: the same tool as a page on this machine, over the same library calls and files as the commands.

``guard`` lets nobody in who does not belong, ``folder`` is the files, ``warm`` keeps joined problems between
requests, ``frame`` makes requests and answers of plain functions, ``screens`` are those functions, ``serve``
starts it all. Words and pictures are in ``report/``. Nothing imports this package but ``cli/desk.py``, when
asked to.
"""
