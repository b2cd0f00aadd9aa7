#include "clients/cli/commands.h"

namespace ratebound::cli {

const std::vector<Command>& Commands() {
  static const auto* const commands = new std::vector<Command>{
      {"check",
       "LINE",
       "screen the lab data of a line folder",
       "Reads every point and log, reduces raw readings by the methods that the manifest "
       "names, and says what to distrust and why. --point shows how one point came to "
       "its "
       "figures, down to each intermediate value, and where its uncertainty comes from. "
       "Ends with 1 when the screen fails.",
       {{"all", "", "every finding, span and source of error"},
        {"point", "ID", "how this point came to its figures", "point"},
        {"monte-carlo", "N", "draw that point's readings N times, 2000 or more",
         "monte_carlo_draws"},
        {"units", "si|ip", "units of a point's values (default si)"}}},
      {"fit",
       "LINE",
       "fit the maps and say how good each surface is",
       "",
       {{"unit", "ID", "only this unit"},
        {"all", "", "every surface, not only capacity and power"},
        {"units", "si|ip", "units of the tested ranges (default si)"}}},
      {"rate",
       "LINE",
       "rate every unit by the published procedures",
       "A procedure is refused, with the reason, outside its scope; what is missing, "
       "test "
       "points\n"
       "and inputs, is listed. Each figure comes with its uncertainty: the scatter of "
       "the "
       "tests\n"
       "and what the instruments may be off by. ID is a procedure's, or ID/CLIMATE for "
       "another\n"
       "climate of a season. Ends with 1 where a unit does not meet a minimum level.",
       {{"unit", "ID", "only this unit"},
        {"procedure", "ID", "only this procedure (default: those of the manifest)"},
        {"against", "ID", "beside it: every unit by this procedure, a new edition, say",
         "against_procedure"},
        {"minimums-on", "DAY",
         "hold ratings against minimum levels, and procedures against their dates, on "
         "this day",
         "minimum_day"},
        {"explain", "", "show every intermediate value with its clause, and bins"},
        {"bins-to", "FILE", "write load, capacity and power of every bin as CSV"},
        {"monte-carlo", "N", "uncertainty by N draws, 1000 or more, not by first order",
         "monte_carlo_draws"},
        {"published-only", "",
         "refuse figures that rest on anything but published text"}}},
      {"verify",
       "LINE",
       "prove or refute every claim, hold declared ratings against the data",
       "With --baseline every claim is new, gone, weaker, stronger or same. Weaker is a "
       "worse\n"
       "verdict; a claim that stood there and now promises less (limit eased, region "
       "shrunk,\n"
       "confidence lowered, allowance cut); or a margin that fell by more than "
       "--margin-drop.\n"
       "A claim that stood there and is gone counts like a weaker one. To accept a "
       "change,\n"
       "publish it and compare with the new release.\n"
       "Ends with 1 where the gate fails. Each rule of --fail-on has all that the one "
       "before\n"
       "fails for:\n"
       "  refuted    a claim refuted, a declared rating that the data do not support\n"
       "  weaker     something weaker than in the baseline, or gone\n"
       "  not-shown  a claim not shown, a declared rating that cannot be computed",
       {{"claim", "ID", "only this claim, and no declared ratings"},
        {"baseline", "RELEASE",
         "compare with a stored release (first 8 digits do) or a file of build --to"},
        {"fail-on", "RULE", "refuted, weaker or not-shown (default weaker)"},
        {"margin-drop", "PERCENT",
         "a margin may fall by this part of the baseline's (default any)"},
        {"explore", "", "also tell what could be claimed with the same data"},
        {"certificates", "DIR",
         "write what shows each verdict to DIR/CLAIM.certificate, for recheck"},
        {"junit", "FILE", "write JUnit XML: a test suite a line, a test case a claim"},
        {"markdown", "FILE", "write a summary for a pull request"}}},
      {"recheck",
       "RELEASE CERTIFICATES",
       "follow the certificates of a release without the prover",
       "RELEASE is the digest of a stored release or a file of build --to, CERTIFICATES "
       "one\n"
       "file or a folder of *.certificate. Each is followed by a checker that shares "
       "nothing\n"
       "with the prover, and held against verdict, surfaces and points of the release. "
       "verify\n"
       "--certificates writes them.\n"
       "  ACCEPTED            it shows the verdict, by functions derived once more from "
       "the\n"
       "                      surfaces and points of the release\n"
       "  ACCEPTED AS STATED  it shows the verdict from figures that it states; those "
       "that\n"
       "                      could not be derived are listed, each with why (a rating:\n"
       "                      only the engine that made it can compute it again)\n"
       "  REFUSED             it does not show what it says, or not of this release\n"
       "Ends with 1 where one is refused.",
       {{"claim", "ID", "only certificates of this claim"}}},
      {"table",
       "LINE",
       "compute the performance tables",
       "",
       {{"table", "ID", "only this table"}}},
      {"build",
       "LINE",
       "all of it, into a release",
       "Prints the digest: the same inputs give the same release.",
       {{"to", "FILE",
         "write the release (serialized ratebound.v1.Release) to this file"}}},
      {"publish", "LINE", "build a release and keep it in the store", "", {}},
      {"releases", "", "what the store holds", "", {{"line", "ID", "only this line"}}},
      {"show",
       "RELEASE",
       "a stored release: its ratings and verdicts",
       "With --output csv the verdicts.",
       {{"to", "FILE",
         "write the release (serialized ratebound.v1.Release) to this file"}}},
      {"diff",
       "FROM TO",
       "what changed between two stored releases",
       "Ends with 1 when a claim or rating is shown less well.",
       {}},
      {"query",
       "UNIT",
       "what a published unit does at given conditions",
       "Conditions are quantity=value with unit, separated by commas:\n"
       "  ratebound query hall-46 --mode cooling --at "
       "entering_water_temp=85degF,water_flow=30gpm",
       {{"at", "CONDITIONS", "the conditions (required)"},
        {"mode", "ID", "mode, where the unit has several"},
        {"stage", "ID", "only this stage"},
        {"curve", "ID", "ask this curve of the unit instead: pressure drop, fan"},
        {"liquid", "NAME[:PART]",
         "with --curve: another liquid, such as propylene_glycol:0.3 by mass"},
        {"release", "RELEASE", "this release (default: the latest with the unit)"},
        {"confidence", "P", "two-sided confidence of the uncertainty (default 0.95)"},
        {"units", "si|ip", "units to print in (default si)"}}},
      {"procedures",
       "[show ID]",
       "the procedures that are known, or the file of one",
       "Lists procedures, methods of measuring and documents of minimum levels with how "
       "many of\n"
       "their numbers were read in the published text. show ID prints the file itself, "
       "each\n"
       "number with its source.",
       {}},
      {"serve",
       "",
       "run the server until it is told to stop",
       "Listens on this machine only unless told otherwise. SIGTERM or SIGINT ends it "
       "after the "
       "calls in\nflight.",
       {{"listen", "HOST:PORT", "address (default 127.0.0.1:50551)"},
        {"workers", "N", "line folders computed at once (default 2)"},
        {"tls-certificate", "FILE", "PEM certificate chain"},
        {"tls-key", "FILE", "PEM private key"}}},
  };
  return *commands;
}

}  // namespace ratebound::cli
