// Level payments, shared by the functions of loans and savings.
#pragma once

namespace loftledger::standard {

// Signs as everywhere among these: money received is positive, money paid negative.
double present_value(double rate, double periods, double payment, double future, bool in_advance);
double future_value(double rate, double periods, double payment, double present, bool in_advance);
double level_payment(double rate, double periods, double present, double future, bool in_advance);

// The interest within the payment of one period.
double interest_part(double rate, double period, double periods, double present, double future,
                     bool in_advance);

}  // namespace loftledger::standard
