"""The interview: questions as data, a session that neither prints nor reads, and the survey made of the
answers."""

from partsolver.survey.interview.answers import load_answers, progress_path, save_answers
from partsolver.survey.interview.build import (
    evidence,
    merged_answers,
    parsed,
    suggestions,
    survey_text,
    unused,
)
from partsolver.survey.interview.kinds import DONT_KNOW, KINDS, read_answer
from partsolver.survey.interview.questions import BY_PATH, QUESTIONS, SECTIONS, Question
from partsolver.survey.interview.session import Asking, Interview, Stopped, Told, interview_path

__all__ = [
    "BY_PATH",
    "DONT_KNOW",
    "KINDS",
    "QUESTIONS",
    "SECTIONS",
    "Asking",
    "Interview",
    "Question",
    "Stopped",
    "Told",
    "evidence",
    "interview_path",
    "load_answers",
    "merged_answers",
    "parsed",
    "progress_path",
    "read_answer",
    "save_answers",
    "suggestions",
    "survey_text",
    "unused",
]
