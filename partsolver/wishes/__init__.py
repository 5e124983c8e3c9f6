"""What the owner wants: the brief, and the uses whose time is predicted."""
