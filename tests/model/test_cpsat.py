"""CP-SAT's interface is loaded without pandas, and is whole all the same."""

from __future__ import annotations

import subprocess
import sys

import pytest

# What a fresh process prints; each in a process of its own, since an import happens once.
FRESH = {
    "the model needs no pandas": (
        "import sys, partsolver.solve.recommend; print('pandas' in sys.modules)",
        "False",
    ),
    "whoever wants the series of variables gets the real pandas": (
        (
            "from partsolver.model.cpsat import cp_model; import pandas\n"
            "found = cp_model.CpModel().new_bool_var_series('x', pandas.Index(['a', 'b']))\n"
            "print(type(found) is pandas.Series, len(found))"
        ),
        "True 2",
    ),
    "pandas that is there already is used": (
        "import pandas; from partsolver.model.cpsat import cp_model; print(cp_model.pd is pandas)",
        "True",
    ),
    "a version that reads more of pandas while it loads gets all of it": (
        (
            "import sys\nclass Demanding:\n    def find_spec(self, name, path, target=None):\n        if"
            " name.endswith('.cp_model') and 'pandas' in sys.modules:"
            " sys.modules['pandas'].DataFrame\nsys.meta_path.insert(0, Demanding())\nfrom"
            " partsolver.model.cpsat import cp_model\nprint(cp_model.pd.__name__, sys.modules['pandas'] is"
            " cp_model.pd)"
        ),
        "pandas True",
    ),
}


@pytest.mark.parametrize("name", FRESH)
def test_in_a_fresh_process(name: str) -> None:
    code, expected = FRESH[name]
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert found.stdout.strip() == expected, found.stderr
