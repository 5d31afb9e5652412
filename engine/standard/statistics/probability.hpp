// Probabilities and quantiles of the distributions that tests and distribution functions share.
// Outside of their domains, and where none could be found, the results are not finite; nothing is
// thrown, and every search and series has a bound.
//
// Most are Boost.Math's. Far beyond what its series are made for, the uniform expansions of the
// NIST Digital Library of Mathematical Functions (DLMF) take over: 8.12 for the incomplete gamma
// function, 8.18 for the incomplete beta function. Probabilities of single counts are by C. Loader,
// Fast and Accurate Computation of Binomial Probabilities (2000).
#pragma once

namespace loftledger::standard {

double normal_density(double x);
double normal_below(double x);
// From the mean to x, of either sign.
double normal_from_mean(double x);
double normal_quantile(double share);

// The gamma distribution with scale 1.
double gamma_below(double shape, double x);
double gamma_above(double shape, double x);
double gamma_quantile(double shape, double share);
// The x above which the share lies.
double gamma_quantile_above(double shape, double share);
double gamma_density(double shape, double x);

double beta_below(double a, double b, double x);
double beta_above(double a, double b, double x);
double beta_quantile(double a, double b, double share);
double beta_density(double a, double b, double x);

// Student's t: both tails beyond t of either sign; and the t that leaves that share in both.
double t_beyond(double t, double degrees);
double t_two_sided(double share, double degrees);
double t_density(double t, double degrees);

double f_above(double x, double degrees_1, double degrees_2);
double f_below(double x, double degrees_1, double degrees_2);
double f_density(double x, double degrees_1, double degrees_2);
// The x above which the share lies.
double f_quantile_above(double share, double degrees_1, double degrees_2);

// The probability of exactly so many: hits among trials with a chance each, events with a mean.
double binomial_mass(double hits, double trials, double chance);
double poisson_mass(double events, double mean);

double chi_square_above(double x, double degrees);

double log_gamma(double x);
double gamma_function(double x);

}  // namespace loftledger::standard
