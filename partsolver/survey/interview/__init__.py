"""The interview: questions as data (`questions`), a session that neither prints nor reads (`session`), and the
survey made of the answers (`build`)."""
