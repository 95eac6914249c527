"""A check that needs a library of the test extra is never skipped before something lands."""

from importlib.metadata import PackageNotFoundError

import pytest
from chromium import chromium
from console import ROOT
from extras import needed, needed_file


def test_continuous_integration_may_not_skip_a_check(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("extras.IN_CI", True)
    with pytest.raises(ModuleNotFoundError):
        needed("no_library_of_this_name")
    with pytest.raises(PackageNotFoundError):
        needed_file("no-package-of-this-name", "any.csv")


def test_elsewhere_it_is_skipped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("extras.IN_CI", False)
    with pytest.raises(pytest.skip.Exception):
        needed("no_library_of_this_name")
    with pytest.raises(pytest.skip.Exception):
        needed_file("no-package-of-this-name", "any.csv")


def test_a_browser_that_is_not_there_is_a_failure_there_and_elsewhere_a_skipped_check(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("chromium.NAMES", ("no-browser-of-this-name",))
    monkeypatch.setattr("chromium.IN_CI", True)
    with pytest.raises(AssertionError, match="no browser is installed"):
        chromium()
    monkeypatch.setattr("chromium.IN_CI", False)
    with pytest.raises(pytest.skip.Exception):
        chromium()
    assert "apt-get install" in (ROOT / ".ci" / "run").read_text()


def test_the_checks_before_landing_run_where_nothing_may_be_skipped() -> None:
    assert "export STOCKBOOK_CI=1" in (ROOT / ".ci" / "run").read_text()


def test_the_readme_s_tests_install_what_these_checks_need() -> None:
    project = (ROOT / "pyproject.toml").read_text()
    test = project[project.index("\ntest = [") : project.index("[project.scripts]")]
    for package in ("zxing-cpp", "pypdf", "intermittent-forecast", "sktime", "biip"):
        assert f'"{package}>=' in test
    assert "--editable '.[test]'" in (ROOT / "README.md").read_text()
