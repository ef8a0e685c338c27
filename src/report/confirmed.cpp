#include "report/confirmed.h"

#include <algorithm>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "match/diagnose.h"
#include "match/model/parameters.h"
#include "report/text/wrap.h"
#include "report/toggle_report.h"
#include "report/trace_report.h"

namespace tattletone::report {
namespace {

std::vector<std::string> rates_of(const std::vector<logbook::Opinion>& opinions) {
    std::vector<std::string> rates;
    for (const logbook::Opinion& opinion : opinions)
        if (opinion.said != "open" && std::find(rates.begin(), rates.end(), opinion.rate) == rates.end())
            rates.push_back(opinion.rate);
    return rates;
}

std::string units_words(const std::vector<std::string>& serials) {
    std::string text = serials.size() == 1 ? "unit " : "units ";
    for (std::size_t i = 0; i < serials.size(); ++i)
        text += (i == 0 ? "" : i + 1 == serials.size() ? " and " : ", ") + serials[i];
    return text;
}

}  // namespace

Result<Confirmed> confirmed_on(logbook::Logbook& logbook, const std::string& board) {
    auto opinions = logbook::latest_opinions(logbook, board, "");
    if (!opinions) return opinions.error();
    std::erase_if(*opinions, [](const logbook::Opinion& opinion) { return opinion.said == "open"; });
    Confirmed confirmed{std::move(*opinions), {}};
    confirmed.factors = logbook::prior_odds_factors(confirmed.opinions);
    return confirmed;
}

match::Findings diagnose_here(const board::BoardSheet* sheet, tones::UnitTones unit, const Confirmed* confirmed,
                              match::TraceJoin* trace, match::TrialJoin* trial) {
    const match::MatchParameters parameters = match::fitted_parameters();
    match::CaseEvidence evidence;
    if (confirmed != nullptr) evidence.prior_odds_factor = confirmed->factors;
    const auto diagnosis = [&](tones::UnitTones of, const match::CaseEvidence& with) {
        if (trace == nullptr) return match::diagnose(sheet, std::move(of), parameters, with);
        return match::diagnose_with_trace(sheet, std::move(of), parameters, with, *trace);
    };
    match::Findings findings = trial != nullptr
                                   ? match::diagnose_with_trial(std::move(unit), std::move(evidence), *trial, diagnosis)
                                   : diagnosis(std::move(unit), evidence);
    if (trace != nullptr) report::tell_trace(findings, *trace);
    if (trial != nullptr) report::tell_trial(findings, *trial);
    return findings;
}

std::vector<std::string> confirmed_sentences(const std::vector<logbook::Opinion>& opinions) {
    std::vector<std::string> sentences;
    for (const std::string& rate : rates_of(opinions)) {
        std::string text;
        for (const char* said : {"confirmed", "rejected"}) {
            std::vector<std::string> units, causes;
            for (const logbook::Opinion& opinion : opinions) {
                if (opinion.rate != rate || opinion.said != said) continue;
                units.push_back(opinion.serial);
                std::string cause = opinion.cause;
                if (!opinion.fix.empty()) cause += (cause.empty() ? "" : "; ") + ("fixed by " + opinion.fix);
                if (!cause.empty() && std::find(causes.begin(), causes.end(), cause) == causes.end())
                    causes.push_back(cause);
            }
            if (units.empty()) continue;
            text += (text.empty() ? rate + " was " : " and ") + said + " in " + units_words(units);
            for (std::size_t i = 0; i < causes.size() && i < 3; ++i) text += (i == 0 ? " (" : " / ") + causes[i];
            if (!causes.empty()) text += ")";
        }
        sentences.push_back(text + ".");
    }
    return sentences;
}

std::string confirmed_text(const Confirmed& confirmed, const match::Findings& findings, int columns) {
    std::string text;
    const auto rates = rates_of(confirmed.opinions);
    const auto sentences = confirmed_sentences(confirmed.opinions);
    for (std::size_t i = 0; i < rates.size(); ++i) {
        const bool suspected = std::any_of(findings.suspects.begin(), findings.suspects.end(),
                                           [&](const match::Suspect& s) { return s.rate == rates[i]; });
        if (!suspected) continue;
        std::string line = sentences[i];
        if (const auto factor = confirmed.factors.find(rates[i]); factor != confirmed.factors.end())
            line += " Its prior odds were taken " + (factor->second > 1.0
                                                         ? base::trimmed(factor->second, 2) + " times as high."
                                                         : "1/" + base::trimmed(1.0 / factor->second, 2) + " as high.");
        text += report::wrapped(line, columns, "  ", "  ");
    }
    if (text.empty()) return text;
    return "\nOn this bench\n" + text +
           report::wrapped("'examine --ignore-confirmed' leaves this out of the diagnosis.", columns, "  ", "  ");
}

std::string confirmed_json(const Confirmed& confirmed) {
    base::JsonWriter list;
    list.open('[');
    for (const logbook::Opinion& opinion : confirmed.opinions) {
        list.open('{');
        list.key("rate").text(opinion.rate);
        list.key("said").text(opinion.said);
        list.key("unit").text(opinion.serial);
        list.key("cause").text_or_null(opinion.cause);
        list.key("fix").text_or_null(opinion.fix);
        const auto factor = confirmed.factors.find(opinion.rate);
        list.key("prior_odds_factor").whole_or_real(factor == confirmed.factors.end() ? 1.0 : factor->second, 4);
        list.close('}');
    }
    list.close(']');
    return list.str();
}

}  // namespace tattletone::report
