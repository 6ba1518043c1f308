// What the card commands tell: a card, two of them, a fit, findings; as text, JSON and pictures.
#pragma once

#include <string>
#include <vector>

#include "card/description.hpp"
#include "fit/card_check.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_fit.hpp"
#include "fit/pair_fit.hpp"
#include "fit/specimen_charts.hpp"
#include "report/html/html_report.hpp"
#include "report/text/verdict_text.hpp"

namespace gapwright {

// A card by the name under which it was asked for.
struct NamedCard {
    std::string name;
    Description card;
};

std::string card_text(const NamedCard& card, const TextStyle& style);
std::string card_json(const NamedCard& card);

// Figures side by side; those that differ first.
std::string comparison_text(const NamedCard& one, const NamedCard& other, const TextStyle& style);
std::string comparison_json(const NamedCard& one, const NamedCard& other);

std::string findings_text(const NamedCard& card, const std::vector<CardFinding>& findings,
                          const TextStyle& style);
std::string findings_json(const NamedCard& card, const std::vector<CardFinding>& findings);

std::string fit_text(const CardFit& fit, const TextStyle& style);
std::string fit_json(const CardFit& fit);

// A pair measured as it stands.
std::string pair_fit_text(const PairFit& fit, const TextStyle& style);
std::string pair_fit_json(const PairFit& fit);

// The charts of a card; beside them those of a second one, drawn dashed, where there is one.
std::vector<NamedPicture> chart_pictures(const NamedCard& card,
                                         const std::vector<CardChart>& charts);
std::vector<NamedPicture> chart_pictures(const NamedCard& one, const std::vector<CardChart>& charts,
                                         const NamedCard& other,
                                         const std::vector<CardChart>& other_charts);

// The charts of a card whose figures were changed; where that moved a curve, the curves as they
// were before, dashed.
std::vector<NamedPicture> changed_chart_pictures(const NamedCard& card,
                                                 const std::vector<CardChart>& charts,
                                                 const std::vector<CardChart>& before);

// A fit's curves with its points, and how far each point lies off.
std::vector<NamedPicture> fit_pictures(const NamedCard& card, const CardFit& fit,
                                       const std::vector<CardChart>& charts);

// Every specimen's own curve over the card's limits, and how many lie within.
std::vector<NamedPicture> specimen_pictures(const NamedCard& card,
                                            const std::vector<SpecimenChart>& charts);

}  // namespace gapwright
