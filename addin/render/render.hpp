// What the catalogue becomes outside the engine: the interface description, the office's
// configuration, the component's methods and the reference for readers. Each is one text.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "engine/catalogue/function.hpp"

namespace loftledger::render {

using Functions = std::span<const catalogue::Function* const>;

// idl/loftledger/XPlanning.idl: one method a function, in the order of their ids.
std::string interface_description(Functions functions);

// One line a method, "any loftFactor(any packedVolume, any openedVolume)": what saved workbooks
// rely on, and what idl/published/ freezes.
std::vector<std::string> method_signatures(Functions functions);

// The body of the component's class: one forwarding line a method.
std::string methods(Functions functions);

// CalcAddIns.xcu: names and texts for the function wizard.
std::string configuration(Functions functions);

// engine/planning/FUNCTIONS.md.
std::string reference(Functions functions);

// engine/standard/FUNCTIONS.md: the spreadsheet functions by the groups of the standard.
std::string standard_reference();

// What the wizard says about one argument: what it is, whether it is due, its rule and its unit.
std::string argument_help(const catalogue::Function& function, std::size_t parameter);

// "0%", "1380 kg/m³", "\"opened\"": what stands for an argument that is left out; empty where
// nothing does.
std::string fallback_text(const catalogue::Function& function, std::size_t parameter);

// How the argument is given: "mass in g", "share", "range of masses in g", "text".
std::string kind_text(const catalogue::Function& function, std::size_t parameter);

// The functions in the order in which the interface lists them: appending a function never moves
// another one's line.
std::vector<const catalogue::Function*> by_id(Functions functions);

// Where a method's argument is a cell with its formula and error, the office hands over the
// document as well, unseen by the user.
bool takes_document(const catalogue::Function& function);

}  // namespace loftledger::render
